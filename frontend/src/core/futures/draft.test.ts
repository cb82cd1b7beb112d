import { describe, expect, it } from 'vitest';

import { blankCheck, blankCourse, blankStep, courseText, extraOf, faultAt, isShown, keyOf } from './draft';

describe('the text of a course', () => {
  it('holds what was typed and nothing else', () => {
    const draft = {
      ...blankCourse(),
      title: 'Chop, then "wait"',
      steps: [blankStep({ operation: 'chop', site: '22 cm', half: 'spring' })],
    };
    expect(courseText(draft)).toBe(
      'key = "chop_then_wait"\ntitle = "Chop, then \\"wait\\""\n\n' +
        '[[step]]\nafter_years = 0\nhalf = "spring"\noperation = "chop"\nsite = "22 cm"\n',
    );
  });

  it('writes numbers as numbers, a share in percent as a share', () => {
    const step = blankStep({ amount: '30 %', litres: '4,5', after_years: '2' });
    const text = courseText({ ...blankCourse(), title: 'A', steps: [step] });
    expect(text).toContain('amount = 0.3\n');
    expect(text).toContain('litres = 4.5\n');
    expect(text).toContain('after_years = 2\n');
  });

  it('leaves what is no number as it was typed, so that the server tells it', () => {
    const step = blankStep({ after_years: 'soon' });
    expect(courseText({ ...blankCourse(), title: 'A', steps: [step] })).toContain('after_years = "soon"\n');
  });

  it('puts checks before the steps that hang on them', () => {
    const draft = {
      ...blankCourse(),
      title: 'A',
      checks: [blankCheck({ name: 'roots', look: 'rooted' })],
      steps: [blankStep({ if: 'roots' })],
    };
    const text = courseText(draft);
    expect(text.indexOf('[[check]]')).toBeLessThan(text.indexOf('[[step]]'));
    expect(text).toContain('if = "roots"\n');
  });

  it('keeps a blank title, so that it is told as missing', () => {
    expect(courseText(blankCourse())).toContain('title = ""\n');
  });
});

it('a key is made of small letters, digits and underscores', () => {
  expect(keyOf('Über den Stumpf, 22 cm')).toBe('uber_den_stumpf_22_cm');
  expect(keyOf('!')).toBe('own');
});

it('a fault stands at its own field alone', () => {
  const faults = [{ part: 'step', number: 2, field: 'site', line: 'no height' }];
  expect(faultAt(faults, 'step', 2, 'site')).toBe('no height');
  expect(faultAt(faults, 'step', 1, 'site')).toBe('');
  expect(faultAt(faults, 'step', 2, 'half')).toBe('');
});

describe('the fields of a step', () => {
  it('are those that its work reads', () => {
    const wire = blankStep({ operation: 'wire' });
    expect(isShown(wire, 'clock')).toBe(true);
    expect(isShown(wire, 'litres')).toBe(false);
    expect(extraOf(wire)).toBe('bend');
    expect(isShown(blankStep({ operation: 'rest' }), 'extra')).toBe(false);
  });

  it('hide nothing that was typed', () => {
    expect(isShown(blankStep({ operation: 'rest', clock: '3' }), 'clock')).toBe(true);
  });

  it('are all kept in the text', () => {
    const step = blankStep({
      operation: 'wire',
      clock: '4.5',
      extra: '20',
      every_years: '2',
      until_years: '8',
    });
    const text = courseText({ ...blankCourse(), title: 'A', reason: 'it is strong', steps: [step] });
    expect(text).toContain('reason = "it is strong"\n');
    expect(text).toContain('clock = 4.5\nextra = 20\nevery_years = 2\nuntil_years = 8\n');
  });
});

it('a fault at its field does not say the key that the label above it stands for', () => {
  const at = (field: string) =>
    faultAt([{ part: '', number: 0, field, line: 'the title (title) is missing' }], '', 0, field);
  expect(at('title')).toBe('is missing');
  expect(at('words')).toBe('the title (title) is missing');
  const within = [{ part: '', number: 0, field: 'words', line: '"a" (b) hangs on it (words) somehow' }];
  expect(faultAt(within, '', 0, 'words')).toBe('"a" (b) hangs on it (words) somehow');
});
