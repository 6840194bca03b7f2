// Rooms import only from rooms to their left; run and cli tie all together.
const rooms = ['store', 'trade', 'plan', 'band', 'setting', 'scene', 'tracer', 'picture', 'model', 'words', 'facts', 'page', 'papers', 'publish', 'artefacts', 'run', 'farm', 'look', 'cli'];

/** @type {import('dependency-cruiser').IConfiguration} */
module.exports = {
  forbidden: [
    ...rooms.slice(0, -1).map((room, i) => ({
      name: `${room}-imports-leftward`,
      comment: `${room} may import only ${rooms.slice(0, i).join(', ') || 'nothing'} and problem.ts`,
      severity: 'error',
      from: { path: `^pipeline/${room}/` },
      to: { path: `^pipeline/(${rooms.slice(i + 1).join('|')})/` },
    })),
    {
      name: 'no-circular',
      severity: 'error',
      from: { path: '^pipeline/' },
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
    },
    {
      name: 'no-circular-types',
      comment: 'no circle of types either',
      severity: 'error',
      from: { path: '^pipeline/' },
      to: { circular: true },
    },
    {
      name: 'no-dev-dependency-in-pipeline',
      severity: 'error',
      from: { path: '^pipeline/' },
      to: { dependencyTypes: ['npm-dev'] },
    },
    {
      name: 'not-resolvable',
      severity: 'error',
      from: { path: '^(pipeline|test)/', pathNot: '^pipeline/tracer/kernel/' },
      to: { couldNotResolve: true },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsConfig: { fileName: 'tsconfig.json' },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'node', 'default', 'types'] },
  },
};
