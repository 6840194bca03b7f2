import { z } from 'zod';
import { configSchema } from './config-schema.ts';
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

function pointChanges(schema: unknown): unknown {
  if (Array.isArray(schema)) return schema.map(pointChanges);
  if (typeof schema !== 'object' || schema === null) return schema;
  const node = schema as Json;
  if (node.title === 'changes to the template') return { $ref: '#/$defs/changes' };
  return Object.fromEntries(Object.entries(node).map(([k, v]) => [k, pointChanges(v)]));
}

/** JSON Schemas (2020-12) of both kinds of file, for completion in editors. */
export function jsonSchemas(): { config: Json; template: Json } {
  const template = jsonSchema(templateSchema, 'Band template');
  const { $schema: _, title: __, ...changes } = optional(template) as Json;
  const config = pointChanges(jsonSchema(configSchema, 'Catalogue config')) as Json;
  return { template, config: { ...config, $defs: { ...(config.$defs as Json), changes } } };
}

export function schemaText(schema: Json): string {
  return `${JSON.stringify(schema, null, 2)}\n`;
}
