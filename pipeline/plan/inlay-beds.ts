import type { Findings, Locate } from './findings.ts';
import type { Template } from './template-schema.ts';

/** Lanes beside an inlay that go through to the bore, so that their metal can run on beneath it. */
function beds(name: string, { lanes }: Template): string[] {
  const names = Object.keys(lanes);
  const index = names.indexOf(name);
  return [names[index - 1], names[index + 1]].filter((n) => n !== undefined && !lanes[n].inlay);
}

/**
 * The lane that carries an inlay: the one named, or the first of those beside it. Where that is not said, both sides
 * must have one alloy, so that it makes no difference which of them the metal beneath belongs to.
 */
export function bedOf(name: string, template: Template): string | undefined {
  return template.lanes[name].inlay?.bed ?? beds(name, template)[0];
}

/** Reports inlays without a bed, or with one that is none. */
export function checkInlays(template: Template, findings: Findings, locate: Locate): void {
  for (const [name, { inlay }] of Object.entries(template.lanes)) {
    if (!inlay) continue;
    const possible = beds(name, template);
    const path = ['lanes', name, 'inlay'];
    if (possible.length === 0)
      findings.add(
        {
          code: 'inlay-bed',
          path,
          expected: 'a lane beside it that goes through to the bore',
          received: `none beside "${name}"`,
          advice: 'An inlay lies in the metal of a neighbour: add a lane, or leave "inlay" out of one.',
        },
        locate,
      );
    else if (inlay.bed !== undefined && !possible.includes(inlay.bed))
      findings.add(
        {
          code: 'inlay-bed',
          path: [...path, 'bed'],
          expected: `a lane beside it that goes through to the bore: ${possible.join(' or ')}`,
          received: JSON.stringify(inlay.bed),
          advice: `Write bed: ${possible[0]}.`,
        },
        locate,
      );
  }
}

export interface UndecidedBed {
  inlay: string;
  lanes: [string, string];
  alloys: [string, string];
}

/** Inlays between two alloys that do not say which of them runs on beneath. @param alloyOf alloy of a lane */
export function undecidedBeds(template: Template, alloyOf: (lane: string) => string): UndecidedBed[] {
  return Object.entries(template.lanes).flatMap(([name, { inlay }]) => {
    if (!inlay || inlay.bed !== undefined) return [];
    const [near, far] = beds(name, template);
    if (near === undefined || far === undefined || alloyOf(near) === alloyOf(far)) return [];
    return [{ inlay: name, lanes: [near, far], alloys: [alloyOf(near), alloyOf(far)] }];
  });
}
