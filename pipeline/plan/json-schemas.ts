import * as z from 'zod';
import { configSchema } from './config-schema.ts';
import { studioSchema } from './studio-schema.ts';
import { templateSchema } from './template-schema.ts';

type Json = { [key: string]: unknown };

function jsonSchema(schema: z.ZodType, title: string): Json {
  return { title, ...(z.toJSONSchema(schema, { io: 'input' }) as Json) };
}

/** A schema's deep partial: nothing is required, and what has a default needs none. */
function optional(schema: unknown): unknown {
  if (Array.isArray(schema)) return schema.map(optional);
  if (typeof schema !== 'object' || schema === null) return schema;
  const { required: _required, default: _default, ...rest } = schema as Json;
  return Object.fromEntries(Object.entries(rest).map(([k, v]) => [k, optional(v)]));
}

/** Title in the config's schema → definition that takes its place. */
const LAID_OVER: Record<string, string> = { 'changes to the template': 'changes', 'a studio': 'studio' };

function pointChanges(schema: unknown): unknown {
  if (Array.isArray(schema)) return schema.map(pointChanges);
  if (typeof schema !== 'object' || schema === null) return schema;
  const node = schema as Json;
  const definition = typeof node.title === 'string' && LAID_OVER[node.title];
  if (definition) return { $ref: `#/$defs/${definition}` };
  return Object.fromEntries(Object.entries(node).map(([k, v]) => [k, pointChanges(v)]));
}

/** A config's own studio: changes to the one named by `like`, or all of its keys. */
function ownStudio(studio: Json): Json {
  const { $schema: _, title: __, ...changes } = optional(studio) as Json;
  const like = { type: 'string', description: 'a studio that comes along, or the path of a studio file' };
  return { ...changes, properties: { like, ...(changes.properties as Json) } };
}

/** JSON Schemas (2020-12) of all kinds of file, for completion in editors. */
export function jsonSchemas(): { config: Json; template: Json; studio: Json } {
  const template = jsonSchema(templateSchema, 'Band template');
  const studio = jsonSchema(studioSchema, 'Studio');
  const { $schema: _, title: __, ...changes } = optional(template) as Json;
  const config = pointChanges(jsonSchema(configSchema, 'Catalogue config')) as Json;
  const $defs = { ...(config.$defs as Json), changes, studio: ownStudio(studio) };
  return { template, studio, config: { ...config, $defs } };
}

export function schemaText(schema: Json): string {
  return `${JSON.stringify(schema, null, 2)}\n`;
}
