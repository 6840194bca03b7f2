import type { Findings, Locate } from './findings.ts';
import { seamPath, widthPath } from './seam-kinds.ts';
import { sectionTaper } from './section-design.ts';
import type { Template } from './template-schema.ts';
import type { OutlineDesign } from './width-design.ts';

/** The outline of a band of this width (mm). */
export function outlineDesign(template: Template, widthMm: number): OutlineDesign | undefined {
  const { outline, section, seams } = template;
  if (!outline) return undefined;
  const { middle, around, width, measured } = outline;
  // what follows the width is known from two of its values; any other will do
  const other = 2 * widthMm;
  return {
    ...(middle && { middle: seamPath(middle, widthMm) }),
    ...(around && {
      around: {
        headMm: around.head,
        shankMm: around.shank,
        gapMm: around.gap,
        edge: around.edge,
        ...(around.span !== undefined && { spanRad: around.span }),
        roundness: around.roundness,
      },
    }),
    ...(width && { width: widthPath(width, widthMm) }),
    measured,
    other: {
      widthMm: other,
      ...sectionTaper(section, other),
      seams: Object.values(seams).map((seam) => seamPath(seam, other)),
    },
  };
}

/** Reports outlines that say nothing, or the same thing twice. */
export function checkOutline({ outline, taper }: Template, findings: Findings, locate: Locate): void {
  if (!outline) return;
  const wrong = (code: string, path: string[], expected: string, received: string, advice: string) =>
    findings.add({ code, path: ['outline', ...path], expected, received, advice }, locate);
  const { middle, around, width } = outline;
  if (!middle && !around && !width) {
    const advice = 'Give one of them, or leave "outline" out.';
    wrong('empty-outline', [], '"middle", "around" or "width"', 'none of them', advice);
  }
  if (middle && around) {
    const advice = 'Leave "middle" out: the head decides it.';
    wrong('outline-conflict', ['middle'], '"middle" or "around"', 'both', advice);
  }
  if (width && taper?.width) {
    const advice = 'Leave one of them out; "taper" may keep a thickness.';
    wrong('outline-conflict', ['width'], 'a width of the outline or of the taper', 'both', advice);
  }
}
