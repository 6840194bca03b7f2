/** What is written of a traced picture: formats, frames cut out of it, marks over it, moving pictures. */

export interface WatermarkPlan {
  /** absolute path of an SVG or PNG, or text */
  image?: string;
  text?: string;
  /** share of the picture's width */
  size: number;
  anchor:
    | 'top-left'
    | 'top'
    | 'top-right'
    | 'left'
    | 'centre'
    | 'right'
    | 'bottom-left'
    | 'bottom'
    | 'bottom-right'
    /** wherever nothing stands, corners first */
    | 'clear';
  /** share of the picture's width */
  margin: number;
  opacity: number;
  /** over the whole picture in rows, and not once */
  repeat?: boolean;
  /** `contrast`: dark on light and light on dark (texts, unless said); `own`: as the file draws it (logos, unless said) */
  ink?: 'own' | 'contrast';
}

/** A frame cut out of a traced picture round its subject. */
export interface FramePlan {
  /** part of file names; the feed's own has none */
  name?: string;
  /** width to height */
  aspect: [number, number];
  /** share of the frame that the subject takes, on the side that it fills more */
  fill: number;
  /** the side of a wide frame at which the subject stands; its middle if absent */
  align?: 'left' | 'right';
  /** the frame may widen as far as this fill to reach the width that is wanted */
  leastFill?: number;
  /** where the frame cannot be cut, the whole picture is written in its place */
  orWhole?: true;
}

export interface ImageOutput {
  /** absent for the catalogue's own pictures; else files of their own with this in their names */
  name?: string;
  format: 'avif' | 'webp' | 'jpeg' | 'png' | 'tiff';
  /** widths in pixels; the picture is never enlarged */
  widths: number[];
  /** 1–100; ignored for png */
  quality: number;
  /** the picture as it was traced if absent */
  frame?: FramePlan;
  /** false for none, or one of its own; the plan's if absent */
  watermark?: WatermarkPlan | false;
}

/** Moving pictures, again and again: all frames of a turntable once round, or the colourways of one shot one after another. */
export interface MovieOutput {
  of: 'turntable' | 'colourways';
  /** the shot or turntable; of every turntable if absent */
  shot?: string;
  /** the picture as it was traced if absent */
  frame?: FramePlan;
  format: 'webp' | 'webm' | 'mp4';
  /** px; never enlarged */
  width: number;
  /** once through */
  seconds: number;
  /** 1–100 */
  quality: number;
}
