import type { LimitSettings } from '../trade/bench-limits.ts';
import type { Config } from './config-schema.ts';
import type { CreditPlan, PlanBench, PlanModels } from './plan.ts';

export function planCredit({ credit }: Config): CreditPlan {
  const { source, ...rest } = credit ?? {};
  return { ...rest, source: source === 'algorithmic-media' ? 'algorithmicMedia' : 'digitalCreation' };
}

export function planModels({ outputs: { glb, usdz } }: Config): PlanModels {
  return {
    glb: glb !== false,
    ...(typeof glb === 'object' && glb.compression !== 'meshopt' ? { glbCompression: glb.compression } : {}),
    ...(typeof glb === 'object' && glb.each ? { glbEach: true } : {}),
    ...(usdz ? { usdz: true } : {}),
  };
}

export function planBench(config: Config): PlanBench {
  const { sheets, caster } = config.outputs;
  return {
    limits: config.bench.limits as LimitSettings,
    ...stoneWeights(config),
    ...ownBench(config),
    sheets: sheets !== false,
    ...(typeof sheets === 'object' && sheets.publish ? { publishSheets: true } : {}),
    ...casterPlan(caster),
  };
}

function ownBench({ bench: { spares, quality } }: Config): Pick<PlanBench, 'ownBench'> {
  if (spares === undefined && quality === undefined) return {};
  return { ownBench: { ...(spares === undefined ? {} : { spares }), ...(quality ? { quality } : {}) } };
}

function casterPlan(written: Config['outputs']['caster']): Pick<PlanBench, 'caster'> {
  if (written === false) return {};
  const none = { shrinkage: 0, polish: 0, sprue: 0, publish: false };
  const { shrinkage, polish, sprue, publish } = written === true ? none : written;
  return { caster: { shrinkage, polishMm: polish, sprue, ...(publish ? { publish } : {}) } };
}

function stoneWeights({ 'stone-weights': written }: Config): Pick<PlanBench, 'stoneWeights'> {
  if (written.length === 0) return {};
  return {
    stoneWeights: written.map(({ stone, cut, size, carats }) => ({
      stone,
      cut,
      ...(typeof size === 'number' ? { diameterMm: size } : { lengthMm: size[0], diameterMm: size[1] }),
      carats,
    })),
  };
}
