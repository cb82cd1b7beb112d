import { expect, it } from 'vitest';

import { meantBy, questionOf, speciesText, stepped, theOneNamed } from './species';

const ELM = { key: 'ulmus_procera', botanical_name: 'Ulmus procera', common_name: 'English elm' };
const FIELD_ELM = { key: 'ulmus_minor', botanical_name: 'Ulmus minor', common_name: 'Field elm' };
const OTHER_ELM = { key: 'ulmus_glabra', botanical_name: 'Ulmus glabra', common_name: 'field elm' };
const NAMELESS = { key: 'acer_x', botanical_name: 'Acer x', common_name: '' };

it('a species stands in its field with the names it has', () => {
  expect(speciesText(ELM)).toBe('Ulmus procera, English elm');
  expect(speciesText(NAMELESS)).toBe('Acer x');
});

it('what was taken is asked for no more, and is meant again once its words stand there again', () => {
  const taken = { key: ELM.key, text: speciesText(ELM) };
  expect(questionOf(' Ulmus procera, English elm ', taken)).toBe('');
  expect(questionOf(' acer ', taken)).toBe('acer');
  expect(questionOf('acer', undefined)).toBe('acer');
  expect(meantBy('Ulmus procera, English elm', taken)).toBe('ulmus_procera');
  expect(meantBy('Ulmus procera, English el', taken)).toBe('Ulmus procera, English el');
  expect(meantBy(' Acer ', undefined)).toBe('Acer');
});

it('steps go round both ends, and nowhere in an empty list', () => {
  expect([stepped(0, 1, 3), stepped(2, 1, 3), stepped(0, -1, 3)]).toEqual([1, 0, 2]);
  expect([stepped(-1, 1, 3), stepped(-1, 1, 0), stepped(0, -1, 0)]).toEqual([0, -1, -1]);
});

it('a full name is taken where one species alone bears it', () => {
  const rows = [ELM, FIELD_ELM, OTHER_ELM, NAMELESS];
  expect(theOneNamed(rows, ' ulmus PROCERA ')).toBe(ELM);
  expect(theOneNamed(rows, 'english elm')).toBe(ELM);
  expect(theOneNamed(rows, 'Ulmus procera, English elm')).toBe(ELM);
  expect(theOneNamed(rows, 'field elm')).toBeUndefined();
  expect(theOneNamed(rows, 'ulmus')).toBeUndefined();
  expect(theOneNamed(rows, '')).toBeUndefined(); // NAMELESS has no common name either
});
