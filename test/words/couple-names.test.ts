import { expect, it } from 'vitest';
import { namesOfTwo } from '../../pipeline/words/couple-names.ts';

it.each([
  ['Ilka Sandvoort & Jonte Deichgräber', ['Ilka Sandvoort', 'Jonte Deichgräber']],
  ['Maeve and Obi Larkspur', ['Maeve', 'Obi Larkspur']],
  ['Ilka und Jonte', ['Ilka', 'Jonte']],
  ['Ilka + Jonte', ['Ilka', 'Jonte']],
  // a word within a name parts nothing
  ['Andrea Sandmann & Gundula Undset', ['Andrea Sandmann', 'Gundula Undset']],
  ['Ελένη & Жанна', ['Ελένη', 'Жанна']],
])('%s are two', (names, two) => {
  expect(namesOfTwo(names)).toEqual(two);
});

it.each([
  'Zephyrine',
  'Mr and Mrs Vale',
  'Herr & Frau Vale',
  'A & B & C',
  'A and B + C',
  'Ilka &',
  'Ilka & Ilka',
  'Ilka & 2',
])('%s are not told apart', (names) => {
  expect(namesOfTwo(names)).toBeUndefined();
});
