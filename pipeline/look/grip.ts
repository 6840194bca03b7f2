/** What can be taken hold of in the unrolled drawing, and how what it writes is spelt. */
import type { WidthMeasure } from '../plan/measure.ts';
import { widthText } from '../plan/template-fields.ts';
import type { FieldPath } from '../plan/yaml-source.ts';
import type { ShapingMessages } from '../words/messages.ts';
import type { Handle } from './contract.ts';

/** A value to be written, by its path in a template. */
export interface Setting {
  path: FieldPath;
  text: string;
}

export type HandleWords = keyof ShapingMessages['drawing']['handles'];

/** A handle whose words are still to be chosen. */
export interface Grip extends Omit<Handle, 'label' | 'text'> {
  said: HandleWords;
  name?: string;
  number?: number;
  /** what is to be written when it is let go at a place of the drawing, mm; as it is told for screen readers too */
  settings(x: number, y: number): Setting[];
}

/** Least turn worth writing, degrees: less comes of a hand that meant to move a handle across. */
const LEAST_TURN_DEG = 0.2;

export const writtenMm = (value: number) => `${Number(value.toFixed(2))} mm`;
export const inDegrees = (theta: number) => Number(((theta * 180) / Math.PI).toFixed(1));
export const inTurn = (theta: number) => theta - 2 * Math.PI * Math.round(theta / (2 * Math.PI));
export const writtenAngle = (theta: number) => `${inDegrees(inTurn(theta))} deg`;

/** The last angle, unless it hardly changed. */
export function turnedTo(path: FieldPath, theta: number, before: number): Setting[] {
  const change = Math.abs(inDegrees(inTurn(theta - before)));
  return change < LEAST_TURN_DEG ? [] : [{ path, text: writtenAngle(theta) }];
}

/** Moved by a distance: of a place that is only a share of the width the share, of any other the millimetres. */
export function shiftedText(place: WidthMeasure, byMm: number, widthMm: number): string {
  const { share, mm: own } = place;
  if (share !== 0 && own === 0)
    return widthText({ share: Number((share + byMm / widthMm).toFixed(3)), mm: 0 });
  return widthText({ share, mm: Number((own + byMm).toFixed(2)) });
}
