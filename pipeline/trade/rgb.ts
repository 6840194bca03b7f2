/** Linear Rec. 709. */
export type Rgb = [number, number, number];
