import { alloyRow } from '../facts/looks.ts';
import { labelName } from '../model/cast-part.ts';
import type { Plan } from '../plan/plan.ts';
import { localeOf } from '../words/locale.ts';

/** What a caster must read before the files beside it are used. */
export function casterNote({ plan, parts }: { plan: Plan; parts: readonly { alloy: string }[] }): string {
  const { caster } = plan;
  if (!caster) throw new RangeError('the plan asks for no files for a caster');
  const { messages, number } = localeOf(plan.language, plan.market);
  const say = messages.casterNote;
  const percent = (share: number) => `${number(100 * share, 0, 3)} %`;
  const alloys = [...new Set(parts.map((part) => part.alloy))].filter((id) => alloyRow(id).uncastable);
  return [
    say.first,
    [
      caster.shrinkage > 0 ? say.shrinkage(percent(caster.shrinkage)) : say.noShrinkage,
      caster.polishMm > 0 ? say.polish(`${number(caster.polishMm, 0, 3)} mm`) : say.noPolish,
      caster.sprue > 0 ? say.sprue(percent(caster.sprue)) : say.noSprue,
    ].join('\n'),
    say.named(labelName(caster)),
    ...(alloys.length > 0 ? [say.uncastable(alloys.join(', '))] : []),
    say.cautions,
  ].join('\n\n');
}
