import { describe, expect, it } from 'vitest';
import { config, planOf, problemsOf } from './workspace.ts';

const CONFIG = (overrides: string) =>
  config({
    template: 'template: plain-court',
    overrides: `overrides: ${overrides}`,
    grid: 'grid: { size: [ISO 54] }',
    shots: 'shots: [front]',
  });
const HAND = CONFIG('{ engraving: { inside: { drawing: ./art/hand.svg, height: 1.5 mm } } }');
const svg = (inner: string) =>
  `<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">${inner}</svg>`;

describe('drawings that are named as files', () => {
  it('stand in designs as their paths, so that a file by another name changes nothing and other strokes do', async () => {
    const drawn = async (text: string, name: string, content: string) =>
      Object.entries((await planOf(text, { [name]: content })).plan.shapes)[0];
    const file = svg('<!-- <rect/> --><path fill="none" d="M0 0H4V4H0Z"/><path d="M6 0H9V4H6Z"/>');
    const [key, design] = await drawn(HAND, 'art/hand.svg', file);
    expect(design.engraving?.inside).toMatchObject({ drawing: 'M0 0H4V4H0Z M6 0H9V4H6Z', text: 'SVG' });
    const [other] = await drawn(HAND.replace('hand', 'ours'), 'art/ours.svg', file);
    expect(other).toBe(key);
    const [third] = await drawn(HAND, 'art/hand.svg', svg('<path d="M0 0H4V4H0Z"/>'));
    expect(third).not.toBe(key);
    // written out in place it is the same
    const written = CONFIG('{ engraving: { inside: { drawing: M0 0H4V4H0Z, height: 1.5 mm } } }');
    expect(Object.keys((await planOf(written)).plan.shapes)[0]).toBe(third);
  });

  it.each([
    [undefined, 'hand.svg: '],
    [svg('<rect width="3" height="3"/>'), '<rect>'],
    [svg('<g transform="scale(2)"><path d="M0 0H4V4Z"/></g>'), 'a transform'],
    [svg(''), 'no path'],
    ['hello', 'no SVG'],
  ])('that cannot be used are refused with line and column: %j', async (content, received) => {
    const problems = await problemsOf(HAND, content === undefined ? {} : { 'art/hand.svg': content });
    expect(problems[0]).toMatchObject({
      code: 'unreadable-drawing',
      path: 'overrides.engraving.inside.drawing',
      place: { line: HAND.split('\n').findIndex((l) => l.startsWith('overrides')) + 1 },
    });
    expect(problems[0].received).toContain(received);
  });

  it('of a motif must be there, with a height', async () => {
    const motif = CONFIG('{ lanes: { band: { texture: { pattern: motif, height: 2 mm } } } }');
    expect((await problemsOf(motif))[0]).toMatchObject({
      path: 'lanes.band.texture',
      expected: 'a drawing and its height for the pattern "motif"',
    });
  });
});
