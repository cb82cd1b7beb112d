import type { LikeEnglish } from '../catalogue';
import type { settings as english } from '../en/settings';

export const settings: LikeEnglish<typeof english> = {
  'settings.title': 'Einstellungen',
  'settings.reading': 'Lesart',
  'settings.theme': 'Hell oder dunkel',
  'settings.theme_device': 'wie das Gerät',
  'settings.theme_light': 'hell',
  'settings.theme_dark': 'dunkel',
  'settings.theme_hint': 'Hell oder dunkel gilt auf diesem Gerät, alles andere für den Garten.',
  'settings.language_stored': 'Die Sprache ist gespeichert. Zurück geht es über die andere.',
  'settings.stored_plain':
    '{line}. Das ist kein Schritt der Aufzeichnung; zurück geht es durch neues Schreiben.',
  'settings.yard': 'Garten und Ort',
  'settings.owner': 'Wer schreibt',
  'settings.owner_hint': 'Steht bei jedem Schritt der Aufzeichnung.',
  'settings.longitude': 'Geografische Länge',
  'settings.longitude_hint':
    'Etwa 13,4 E (östlich) oder 0,1 W (westlich). Sie wird beim Ort aufbewahrt, kein Tag folgt aus ihr. Darf leer bleiben.',
  'settings.climate': 'Lauf des Jahres',
  'settings.keep_climate': 'So speichern',
  'settings.weather': 'Gemessenes Wetter',
  'settings.day': 'Der Tag, der als heute gilt',
  'settings.day_free': 'Er folgt der Uhr dieses Rechners: {day}.',
  'settings.day_pinned': 'Er ist festgehalten auf {day}.',
  'settings.day_way': 'Er steht als „today“ in collection.toml; ohne diese Zeile folgt er wieder der Uhr.',
  'settings.record': 'Letzte Schritte',
  'settings.record_empty':
    'Hier steht, was eingetragen, gemessen oder umgestellt wird, und wie es sich zurücknehmen lässt.',
  'settings.record_kept': 'Was zurückgenommen wird, bleibt in der Geschichte.',
  'settings.undone': '(zurückgenommen)',
  'settings.take_back': 'Zurücknehmen: {what}',
  'settings.kept': 'Wo es liegt',
  'settings.kept_here': 'Alles liegt auf diesem Rechner, in einem Ordner. Wer den Ordner kopiert, hat alles.',
};
