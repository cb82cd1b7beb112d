/** Which of the house's own sheets is open; a room opens its own sheets itself. */

export type HouseSheet = 'goto' | 'keys' | 'takeBack' | 'block';

let sheet = $state<HouseSheet>();
let why = $state('');

/** The house sheet that is open. */
export function houseSheet(): HouseSheet | undefined {
  return sheet;
}

/** Opens one of the house's sheets. */
export function openSheet(which: HouseSheet): void {
  sheet = which;
}

/** Closes it. */
export function closeSheet(): void {
  sheet = undefined;
}

/** The name of the why that is told, such as "T03:repot:opens"; blank when none is. */
export function whyAsked(): string {
  return why;
}

/** Tells the why of a shown number, by its name from the server (`told.why`). */
export function openWhy(name: string): void {
  why = name;
}

/** Closes it. */
export function closeWhy(): void {
  why = '';
}
