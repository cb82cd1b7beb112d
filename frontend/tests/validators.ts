/** Validators of what the server answers, compiled from the contract; for tests alone, never part of the app. */

import { readFileSync } from 'node:fs';

import { Ajv2020, type ValidateFunction } from 'ajv/dist/2020';

import type { Schemas } from '../src/api/client';

const FILE = new URL('../src/api/openapi.json', import.meta.url);

type Contract = { components: { schemas: Record<string, unknown> } };

/** A validator for each shape of the contract, by its name. */
export function validators(): (name: keyof Schemas) => ValidateFunction {
  const contract = JSON.parse(readFileSync(FILE, 'utf8')) as Contract;
  const ajv = new Ajv2020({ allErrors: true, strict: true, strictTypes: false, strictTuples: false });
  ajv.addVocabulary(['components']);
  ajv.addSchema({ $id: 'contract', components: { schemas: contract.components.schemas } });
  return (name) => {
    const found = ajv.getSchema(`contract#/components/schemas/${name}`);
    if (found === undefined) throw new Error(`the contract has no shape ${name}`);
    return found;
  };
}

/** An answer of the server as it was recorded from the demo yard. */
export function snapshot<Name extends keyof Schemas>(name: Name): Schemas[Name] {
  const file = new URL(`../src/api/snapshots/${name}.json`, import.meta.url);
  return JSON.parse(readFileSync(file, 'utf8')) as Schemas[Name];
}
