import { describe, expect, it } from 'vitest';

import { pathOf, placeOf, type Place } from './paths';

describe('a path', () => {
  it.each([
    ['/', { room: 'today' }],
    ['/yard', { room: 'yard' }],
    ['/yard/', { room: 'yard' }],
    ['/start', { room: 'start' }],
    ['/settings', { room: 'settings' }],
    ['/weather', { room: 'weather' }],
    ['/tree/T03', { room: 'tree', id: 'T03' }],
    ['/tree/Old%20Ferry%2F2', { room: 'tree', id: 'Old Ferry/2' }],
    ['/tree/', { room: 'unknown', path: '/tree/' }],
    ['/tree/T03/pot', { room: 'pot', id: 'T03' }],
    ['/tree/T03/shape', { room: 'shape', id: 'T03' }],
    ['/tree/T03/pots', { room: 'unknown', path: '/tree/T03/pots' }],
    ['/tree/%E0%A4%A', { room: 'unknown', path: '/tree/%E0%A4%A' }],
    ['/Yard', { room: 'unknown', path: '/Yard' }],
    ['/toString', { room: 'unknown', path: '/toString' }],
  ])('%s names a place', (path, place) => {
    expect(placeOf(path)).toEqual(place);
  });

  const places: Place[] = [
    { room: 'today' },
    { room: 'yard' },
    { room: 'start' },
    { room: 'settings' },
    { room: 'weather' },
    { room: 'tree', id: 'a b/c?d#e%f' },
    { room: 'pot', id: 'a b/c?d#e%f' },
    { room: 'shape', id: 'a b/c?d#e%f' },
  ];
  it.each(places)('of $room leads back to it', (place) => {
    expect(placeOf(pathOf(place))).toEqual(place);
  });
});
