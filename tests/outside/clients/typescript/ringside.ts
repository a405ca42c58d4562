// Steps 30 to 35: what is ridden, and logged from the rail.
import { randomUUID } from "node:crypto";
import { client, etag, holds, key, passed, same, there, told, type Schemas } from "./steps.js";
import type { People } from "./people.js";
import type { Booked } from "./sessions.js";
import { DISTANCE_M } from "./yard.js";

export interface Ridden {
  correctedId: string;
  correctionId: string;
}

const SESSION = "/api/v1/barns/{barn_id}/sessions/{session_id}";
const ENTRY = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries/{entry_id}";

const over = (...outcomes: Schemas["FenceOutcome"][]): Schemas["FenceIn"][] =>
  outcomes.map((outcome, n) => ({ fence: String(n + 1), outcome }));

/** The session, one status on. */
async function stepped(people: People, booked: Booked, status: Schemas["SessionStatus"]): Promise<Schemas["SessionOut"]> {
  const trainer = people.trainer.client;
  const path = { barn_id: people.barnId, session_id: booked.sessionId };
  const version = etag(await trainer.GET(SESSION, { params: { path } }));
  return told(await trainer.PATCH(SESSION, { params: { path, header: { "If-Match": version } }, body: { status } }), 200);
}

async function logging(people: People, booked: Booked): Promise<string> {
  const opened = await stepped(people, booked, "open");
  same([opened.status, ...opened.entries.map((e) => e.status)], ["open", "open"]);
  passed(30);

  const barn = { barn_id: people.barnId };
  const session = { ...barn, session_id: booked.sessionId };
  const link = told(await people.trainer.client.POST(`${SESSION}/rail-links`, {
    params: { path: session, header: key() }, body: { label: "Gate" },
  }), 201);
  same([link.label, link.session_id], ["Gate", booked.sessionId]);
  holds(link.expires_at > link.created_at);
  const rail = client(people.base, link.secret);
  const first = told(await rail.POST(`${ENTRY}/rides`, {
    params: { path: { ...session, entry_id: booked.entryId }, header: key() },
    body: { go: 1, fences: over("jumped", "jumped"), attempts: [{ line: "A", asked: 6, ridden: 6 }] },
  }), 201);
  same([first.kind, first.go, first.efforts, first.standing, first.jumps_today], ["go", 1, 2, "counted", 2]);
  same(first.attempts.map((a) => [a.asked, a.ridden, a.distance_m, a.first_height_cm] as const), [[6, 6, DISTANCE_M, 85]]);
  passed(31);

  const ride = (go: number, last: Schemas["FenceOutcome"], attempt: Schemas["AttemptIn"]): Schemas["BatchRideIn"] =>
    ({ entry_id: booked.entryId, id: randomUUID(), go, fences: over("jumped", last), attempts: [attempt] });
  const rides = [
    ride(2, "jumped", { line: "A", asked: 6, ridden: 6, distance_m: 20.9 }),
    ride(3, "rail", { line: "A", asked: 5, ridden: 5, fault: "rail" }),
    ride(4, "refusal", { line: "A", asked: 5, fault: "refusal" }),
  ];
  const send = async (): Promise<Schemas["RideBatchOut"]> =>
    told(await rail.POST("/api/v1/barns/{barn_id}/rides", { params: { path: barn, header: key() }, body: { rides } }), 200);
  const sent = await send();
  same(sent.rides.map((r) => r.id), rides.map((r) => there(r.id)));
  same(sent.rides.map((r) => [r.go, r.efforts, r.outcome] as const), [[2, 2, "stored"], [3, 2, "stored"], [4, 1, "stored"]]);
  same(sent.entries.map((e) => [e.entry_id, e.jumps_today] as const), [[booked.entryId, 7]]);
  passed(32);

  const again = await send();
  same(again.rides.map((r) => [r.id, r.outcome, r.standing] as const), rides.map((r) => [there(r.id), "known", "counted"] as const));
  same(again.entries, sent.entries);
  passed(33);
  return there(there(rides[1]).id);
}

export async function run(people: People, booked: Booked): Promise<Ridden> {
  const correctedId = await logging(people, booked);
  const trainer = people.trainer.client;
  const entry = { barn_id: people.barnId, session_id: booked.sessionId, entry_id: booked.entryId };
  const path = { ...entry, ride_id: correctedId };
  const made = told(await trainer.POST(`${ENTRY}/rides/{ride_id}/corrections`, {
    params: { path, header: key() },
    body: { go: 3, fences: over("jumped", "jumped"), attempts: [{ line: "A", asked: 5, ridden: 5 }], note: "It stayed up." },
  }), 201);
  same([made.supersedes, made.standing, made.note, made.jumps_today], [correctedId, "counted", "It stayed up.", 7]);
  same(made.fences.map((f) => f.outcome), ["jumped", "jumped"]);
  const old = told(await trainer.GET(`${ENTRY}/rides/{ride_id}`, { params: { path } }), 200);
  same([old.standing, ...old.fences.map((f) => f.outcome)], ["superseded", "jumped", "rail"]);
  passed(34);

  const closed = await stepped(people, booked, "closed");
  same([closed.status, ...closed.entries.map((e) => e.status)], ["closed", "unresolved"]);
  same(closed.entries.map((e) => e.unanswered_efforts), [1]);
  const version = etag(await trainer.GET(ENTRY, { params: { path: entry } }));
  const done = told(await trainer.PATCH(ENTRY, {
    params: { path: entry, header: { "If-Match": version } }, body: { closing: { answer: "not_jumped" } },
  }), 200);
  same([done.status, done.unanswered_efforts ?? null], ["closed", null]);
  passed(35);
  return { correctedId, correctionId: made.id };
}
