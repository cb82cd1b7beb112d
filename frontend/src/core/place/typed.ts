/** What people type of a place, read well enough to draw it at once; the server reads it again and has the last word. */

export type Units = 'metric' | 'inch';

/** A latitude as people write it ("52.4 N", "33 52 S", "-33,9"), in degrees, south negative; undefined if unreadable. */
export function readLatitude(text: string): number | undefined {
  const plain = text
    .replace(/,/g, '.')
    .replace(/−/g, '-')
    .replace(/[°º'’′"”″]|\bdeg\b/gi, ' ')
    .replace(/\s+/g, ' ')
    .trim();
  const found = /^([NS])? ?([+-])?(\d+(?:\.\d+)?)(?: (\d+(?:\.\d+)?))?(?: (\d+(?:\.\d+)?))? ?([NS])?$/i.exec(
    plain,
  );
  if (!found) return undefined;
  const [, before, sign, degrees, minutes = '0', seconds = '0', after] = found;
  const letter = (before ?? after ?? '').toUpperCase();
  if ((before && after) || (letter && sign)) return undefined;
  const size_deg = Number(degrees) + Number(minutes) / 60 + Number(seconds) / 3600;
  if (Number(minutes) >= 60 || Number(seconds) >= 60 || size_deg > 90) return undefined;
  return sign === '-' || letter === 'S' ? -size_deg : size_deg;
}

/** A latitude as it is typed again: "52,4 N". */
export function latitudeText(latitude_deg: number, locale: string): string {
  return `${angleSize(latitude_deg, locale)} ${latitude_deg < 0 ? 'S' : 'N'}`;
}

/** A longitude as it is typed again: "13,4 E". */
export function longitudeText(longitude_deg: number, locale: string): string {
  return `${angleSize(longitude_deg, locale)} ${longitude_deg < 0 ? 'W' : 'E'}`;
}

function angleSize(angle_deg: number, locale: string): string {
  return new Intl.NumberFormat(locale, { maximumFractionDigits: 3 }).format(Math.abs(angle_deg));
}

/** A temperature as typed, in degrees Celsius; without a unit it is in that of the yard; undefined if unreadable. */
export function readTemperature_degC(text: string, units: Units): number | undefined {
  const found = /^([+-]?\d+(?:\.\d+)?) ?(?:°|deg)? ?([CF])?$/i.exec(
    text.replace(/,/g, '.').replace(/−/g, '-').replace(/\s+/g, ' ').trim(),
  );
  if (!found) return undefined;
  const value = Number(found[1]);
  const unit = found[2]?.toUpperCase() ?? temperatureUnit(units);
  return unit === 'F' ? ((value - 32) * 5) / 9 : value;
}

/** Degrees Celsius in the unit of the yard. */
export function inUnit(value_degC: number, units: Units): number {
  return units === 'inch' ? (value_degC * 9) / 5 + 32 : value_degC;
}

/** The letter of the unit in which the yard reads temperatures. */
export function temperatureUnit(units: Units): 'C' | 'F' {
  return units === 'inch' ? 'F' : 'C';
}

/** A number that was typed without a unit gets the one that stands beside the field; all else stays as typed. */
export function withUnit(text: string, unit: string): string {
  const typed = text.replace(/−/g, '-').trim();
  return /^[+-]?\d+([.,]\d+)?$/.test(typed) ? `${typed} ${unit}` : typed;
}

const TILT_deg = 23.44; // obliquity of the ecliptic
const HORIZON_deg = -0.833; // sun's upper edge at a level horizon, with the usual refraction
const IN_RADIANS = Math.PI / 180;

/** Hours from sunrise to sunset on the longest and on the shortest day of the year. */
export function dayLengths_h(latitude_deg: number): { longest: number; shortest: number } {
  const size_deg = Math.abs(latitude_deg);
  return { longest: dayLength_h(size_deg, TILT_deg), shortest: dayLength_h(size_deg, -TILT_deg) };
}

function dayLength_h(latitude_deg: number, sun_deg: number): number {
  const [lat, sun] = [latitude_deg * IN_RADIANS, sun_deg * IN_RADIANS];
  const cosine =
    (Math.sin(HORIZON_deg * IN_RADIANS) - Math.sin(lat) * Math.sin(sun)) / (Math.cos(lat) * Math.cos(sun));
  return (Math.acos(Math.min(1, Math.max(-1, cosine))) / Math.PI) * 24;
}
