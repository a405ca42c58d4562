// Steps 18 to 29: what is booked, refused, asked for and moved, and who may.
import { randomUUID } from "node:crypto";
import { client, dayAfter, etag, holds, key, passed, refused, same, there, told, type Client, type Schemas } from "./steps.js";
import { founder, type People } from "./people.js";
import type { Yard } from "./yard.js";

export interface Booked {
  day: string;
  sessionId: string;
  entryId: string;
  askedSessionId: string;
  askedEntryId: string;
}

const SESSIONS = "/api/v1/barns/{barn_id}/sessions";
const SESSION = "/api/v1/barns/{barn_id}/sessions/{session_id}";
const ENTRY = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries/{entry_id}";

const at = (day: string, days: number, hour: number): string =>
  `${dayAfter(day, days)}T${String(hour).padStart(2, "0")}:00:00Z`;

/** Whether two texts name one instant. */
const instant = (text: string): number => Date.parse(text);

function hour(day: string, days: number, starts: number, title: string, place: Yard, entries: Schemas["EntryIn"][]): Schemas["SessionIn"] {
  return { kind: "jumping", title, arena_id: place.arenaId, starts_at: at(day, days, starts), ends_at: at(day, days, starts + 1), entries };
}

async function booking(people: People, place: Yard): Promise<[string, Schemas["SessionOut"]]> {
  const { client: trainer, personId: trainerId } = people.trainer;
  const path = { barn_id: people.barnId };
  const pair = { horse_id: place.horseId, rider_id: people.rider.personId };
  const rest = told(await people.owner.client.GET("/api/v1/barns/{barn_id}/horses/{horse_id}/rest", {
    params: { path: { ...path, horse_id: place.horseId }, query: { efforts: 8, height_cm: 85 } },
  }), 200);
  const day = rest.today;
  same([rest.violations.length, rest.stand_downs.length, rest.asked.allowed_today, rest.asked.efforts], [0, 0, true, 8]);
  const owners = rest.limits.filter((limit) => limit.workload_limit_id === place.ownersLimitId);
  same(owners.map((limit) => [limit.source, limit.binding] as const), [["owner", true]]);
  same([rest.next_14_days.length, rest.next_14_days[0]?.day], [14, day]);
  passed(18);

  const asks: Schemas["AskIn"][] = [{ line: "A", asked: 6 }];
  const body: Schemas["SessionIn"] = {
    ...hour(day, 1, 9, "Two, and two again", place, [{ ...pair, planned_efforts: 8, planned_height_cm: 85, asks }]),
    trainer_id: trainerId, fence_set_id: place.fenceSetId, exercise_id: place.exerciseId,
  };
  const session = told(await trainer.POST(SESSIONS, { params: { path, header: key() }, body }), 201);
  same([session.status, session.kind, session.revision], ["booked", "jumping", 1]);
  same(instant(session.starts_at), instant(body.starts_at));
  same(session.entries.map((e) => [e.status, e.planned_efforts, e.planned_height_cm] as const), [["booked", 8, 85]]);
  same(session.entries[0]?.asks, asks);
  same(session.time_zone, "Europe/Lisbon");
  holds(session.cautions.length > 0);
  passed(19);

  const pony = { horse_id: place.ponyId, rider_id: people.childId, planned_efforts: 4, planned_height_cm: 50 };
  const again = await trainer.POST(SESSIONS, { params: { path, header: key() }, body: { ...body, entries: [pony] } });
  const taken = there(refused(again, 409, "occupied").reasons).map((reason) => reason.code);
  same(taken.sort(), ["above_level", "arena_taken", "fence_set_taken", "person_taken"]);
  passed(20);

  const many = { ...hour(day, 2, 9, "Too many", place, [{ ...pair, planned_efforts: 15, planned_height_cm: 85 }]), trainer_id: trainerId };
  const reasons = there(refused(await trainer.POST(SESSIONS, { params: { path, header: key() }, body: many }), 409, "rule_refused").reasons);
  same(reasons.map((r) => [r.code, r.limit, r.figure, r.binding, r.rule_id] as const),
    [["max_efforts_per_session", 14, 15, true, place.ownersLimitId]]);
  passed(21);

  const one = { ...path, session_id: session.id };
  const read = await trainer.GET(SESSION, { params: { path: one } });
  same(told(read, 200), session);
  const change = (patch: Schemas["SessionPatch"], version: string) =>
    trainer.PATCH(SESSION, { params: { path: one, header: { "If-Match": version } }, body: patch });
  const renamed = await change({ title: "Two fences" }, etag(read));
  same(told(renamed, 200).title, "Two fences");
  refused(await change({ title: "Three fences" }, etag(read)), 412, "changed_meanwhile");
  passed(22);

  const moved = told(await change({ starts_at: at(day, 0, 10), ends_at: at(day, 0, 11) }, etag(renamed)), 200);
  same(moved.title, "Two fences");
  same([moved.starts_at, moved.ends_at].map(instant), [at(day, 0, 10), at(day, 0, 11)].map(instant));
  same(moved.entries.map((e) => [e.id, e.status] as const), [[there(session.entries[0]).id, "booked"]]);
  passed(23);
  return [day, moved];
}

async function asking(people: People, place: Yard, day: string): Promise<Schemas["SessionOut"]> {
  const trainer = people.trainer.client;
  const path = { barn_id: people.barnId };
  const body = hour(day, 3, 15, "On my own", place, [
    { horse_id: place.horseId, rider_id: people.rider.personId, planned_efforts: 6, planned_height_cm: 80 },
  ]);
  const asked = told(await people.rider.client.POST(SESSIONS, { params: { path, header: key() }, body }), 201);
  same([asked.status, asked.entries[0]?.status, asked.trainer_id ?? null], ["requested", "requested", null]);
  passed(24);

  const confirm = async (session_id: string, entry_id: string): Promise<Schemas["EntryOut"]> => {
    const one = { ...path, session_id, entry_id };
    const read = await trainer.GET(ENTRY, { params: { path: one } });
    same(told(read, 200).status, "requested");
    return told(await trainer.PATCH(ENTRY, {
      params: { path: one, header: { "If-Match": etag(read) } }, body: { status: "booked" },
    }), 200);
  };
  const yes = await confirm(asked.id, there(asked.entries[0]).id);
  same([yes.status, yes.flags.length, yes.overridden.length, yes.planned_efforts], ["booked", 0, 0, 6]);
  passed(25);

  const places = { ...hour(day, 5, 9, "Ponies", place, []), trainer_id: people.trainer.personId, places: 1 };
  const lesson = told(await trainer.POST(SESSIONS, { params: { path, header: key() }, body: places }), 201);
  same([lesson.places, lesson.places_free, lesson.entries.length], [1, 1, 0]);
  const one = { ...path, session_id: lesson.id };
  const entry = told(await people.guardian.client.POST(`${SESSION}/entries`, {
    params: { path: one, header: key() },
    body: { horse_id: place.ponyId, rider_id: people.childId, planned_efforts: 4, planned_height_cm: 50 },
  }), 201);
  same([entry.status, entry.rider_id, entry.horse_id], ["requested", people.childId, place.ponyId]);
  same((await confirm(lesson.id, entry.id)).status, "booked");
  const full = told(await people.guardian.client.GET(SESSION, { params: { path: one } }), 200);
  same(full.places_free, 0);
  same(full.entries.map((e) => e.id), [entry.id]);
  passed(26);
  return asked;
}

async function calendar(rider: Client, people: People, place: Yard, day: string): Promise<void> {
  const calendar = told(await rider.GET("/api/v1/barns/{barn_id}/arenas/{arena_id}/calendar", {
    params: { path: { barn_id: people.barnId, arena_id: place.arenaId }, query: { from: at(day, 0, 0), to: at(day, 6, 0) } },
  }), 200);
  same([calendar.arena_id, calendar.sessions_at_once], [place.arenaId, 1]);
  same(calendar.taken.map((t) => instant(t.starts_at)), [at(day, 0, 10), at(day, 3, 15), at(day, 5, 9)].map(instant));
  same(calendar.taken.map((t) => t.exercise_name ?? null), ["Two for Sorrel", null, null]);
  const text = JSON.stringify(calendar);
  holds(!["Corin", "Sorrel Fen", "Pin Oak", people.rider.personId].some((name) => text.includes(name)));
}

export async function run(people: People, place: Yard): Promise<Booked> {
  const [day, session] = await booking(people, place);
  const asked = await asking(people, place, day);
  const rider = people.rider.client;

  const one = { barn_id: people.barnId, session_id: session.id };
  const version = etag(await rider.GET(SESSION, { params: { path: one } }));
  const opens = await rider.PATCH(SESSION, { params: { path: one, header: { "If-Match": version } }, body: { status: "open" } });
  refused(opens, 403, "forbidden");
  passed(27);

  const [, elsewhere] = await founder(people.base, "Nobody Here");
  const stranger = client(people.base, elsewhere.access_token);
  const find = (horse_id: string) =>
    stranger.GET("/api/v1/barns/{barn_id}/horses/{horse_id}", { params: { path: { barn_id: people.barnId, horse_id } } });
  const theirs = refused(await find(place.horseId), 404, "not_found");
  same(theirs, refused(await find(randomUUID()), 404, "not_found"));
  passed(28);

  await calendar(rider, people, place, day);
  passed(29);
  const entryOf = (made: Schemas["SessionOut"]): string => there(made.entries[0]).id;
  return { day, sessionId: session.id, entryId: entryOf(session), askedSessionId: asked.id, askedEntryId: entryOf(asked) };
}
