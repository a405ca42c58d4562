// Says which steps were passed, and takes answers for what the document says they are.
import assert from "node:assert/strict";
import { randomUUID } from "node:crypto";
import createClient, { type Client as Generated } from "openapi-fetch";
import type { components, paths } from "./api.js";

export type Schemas = components["schemas"];
export type Client = Generated<paths>;
export const PASSWORD = "five-strides-past-the-gate";

export function passed(number: number): void {
  console.log(`passed ${number}`);
}

/** Nobody, or whoever has the token. */
export function client(base: string, token?: string): Client {
  return createClient<paths>({ baseUrl: base, headers: token ? { Authorization: `Bearer ${token}` } : {} });
}

/** A fresh Idempotency-Key. */
export function key(): { "Idempotency-Key": string } {
  return { "Idempotency-Key": randomUUID() };
}

/** The types of what was found are those that the document gives: what is wanted must fit each of them. */
export function same<const T>(found: T, wanted: NoInfer<T>): void {
  assert.deepStrictEqual(found, wanted);
}

/** What is asserted must be a truth value, not merely something. */
export function holds(truth: boolean): void {
  assert.ok(truth);
}

/** The answer, where it has this status. */
export function told<T>(answer: { data?: T; error?: unknown; response: Response }, status: number): T {
  const told = `${answer.response.status} from ${answer.response.url}: ${JSON.stringify(answer.error)}`;
  assert.equal(answer.response.status, status, told);
  assert.ok(answer.data !== undefined, told);
  return answer.data;
}

/** The problem, where it is this one. */
export function refused(
  answer: { data?: unknown; error?: Schemas["Problem"]; response: Response }, status: number, code: string,
): Schemas["Problem"] {
  assert.ok(answer.error, `no problem, but ${answer.response.status}: ${JSON.stringify(answer.data)}`);
  same([answer.response.status, answer.error.status, answer.error.code], [status, status, code]);
  return answer.error;
}

export function etag(answer: { response: Response }): string {
  return there(answer.response.headers.get("etag"));
}

/** A value that may be absent, and is not. */
export function there<T>(value: T | null | undefined): T {
  assert.ok(value !== null && value !== undefined);
  return value;
}

/** The day so many days after this one. */
export function dayAfter(day: string, days: number): string {
  const date = new Date(`${day}T00:00:00Z`);
  date.setUTCDate(date.getUTCDate() + days);
  return date.toISOString().slice(0, 10);
}

export function today(): string {
  return new Date().toISOString().slice(0, 10);
}
