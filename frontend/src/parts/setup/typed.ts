/** What is in the fields of a form: by the field's key, and only where something was typed. */
export type Typed = Record<string, string>;

export const CLIMATE_FIELDS = ['coldest', 'warmest', 'last_frost', 'first_frost'] as const;
export const PLACE_FIELDS = ['name', 'latitude', 'elevation'] as const;
export const TREE_FIELDS = ['name', 'species', 'started', 'height', 'trunk', 'girth', 'place'] as const;
