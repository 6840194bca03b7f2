export const LETTER_STYLES = ['regular', 'italic', 'bold', 'script'] as const;
export type LetterStyle = (typeof LETTER_STYLES)[number];

/** Which edge of the band the heads of letters stand towards; the first lies at −width/2. */
export type HeadsTowards = 'first' | 'second';

/** A line of letters cut into the metal, or two, or a drawing in their place. */
export interface EngravingDesign {
  /** lines are parted by a line feed; of a drawing, what it is called */
  text: string;
  /** outlines as path data of SVG, in place of letters */
  drawing?: string;
  /** of capitals, or of the whole drawing */
  heightMm: number;
  /** where strokes are wide enough for walls that lean */
  depthMm: number;
  /** lean of the walls from square to the surface, out of the stroke; square if absent, radians */
  slantRad?: number;
  /** part of the depth that polishing takes off: below it the strokes have their true width */
  coverMm?: number;
  style: LetterStyle;
  /** θ of the line's middle */
  atRad: number;
  /** z midway between the foot and the head of capitals; outside, the middle of the lane if absent */
  centreMm?: number;
  /** the line runs along the middle of its lane, not along that of the band */
  follow?: 'lane';
  /** the second if absent in the bore, the first outside: so both run with θ */
  heads?: HeadsTowards;
}

/** Letters in the bore read by one who looks into the ring, those outside by one who looks at it. */
export interface EngravingsDesign {
  inside?: EngravingDesign;
  outside?: EngravingDesign & { lane: string };
}

/** From the foot of one line's capitals to that of the next, in heights of a capital (common practice). */
const LEADING = 1.65;

/** From the foot of the lowest line's capitals to the head of the highest one's, mm. */
export function blockHeight({ text, heightMm }: Pick<EngravingDesign, 'text' | 'heightMm'>): number {
  return heightMm * (1 + LEADING * (text.split('\n').length - 1));
}
