// Steps 36 to 40: what is seen of it, and by whom.
import { dayAfter, holds, key, passed, refused, same, there, told, type Schemas } from "./steps.js";
import type { People } from "./people.js";
import type { Ridden } from "./ringside.js";
import type { Booked } from "./sessions.js";
import { DISTANCE_M, type Yard } from "./yard.js";

async function work(people: People, place: Yard, day: string, later: string): Promise<void> {
  const efforts = told(await people.owner.client.GET("/api/v1/barns/{barn_id}/horses/{horse_id}/efforts", {
    params: { path: { barn_id: people.barnId, horse_id: place.horseId }, query: { from: day, to: later } },
  }), 200);
  const days = efforts.days.filter((d) => d.logged > 0 || d.planned > 0);
  same(days.map((d) => [d.day, d.logged, d.planned] as const), [[day, 7, 0], [later, 0, 6]]);
  same([efforts.sum_7_days.logged, efforts.sum_28_days.logged], [7, 7]);
  same([efforts.completeness.closed, efforts.completeness.due], [1, 1]);
  same(days[0]?.highest_cm, 85);
  passed(36);
}

async function progress(people: People, place: Yard, day: string): Promise<void> {
  const rider = people.rider.client;
  const path = { barn_id: people.barnId, horse_id: place.horseId, pairing_id: place.pairingId };
  const pair = told(await rider.GET("/api/v1/barns/{barn_id}/horses/{horse_id}/pairings/{pairing_id}/adjustability", {
    params: { path, query: { as_of: day } },
  }), 200);
  same([pair.attempts, pair.days, pair.verdict], [4, 1, "not_enough_rides"]);
  same([pair.normal_stride.stride_m, pair.as_of], [3.47, day]);
  holds(pair.ratio.low <= pair.ratio.value && pair.ratio.value <= pair.ratio.high);
  holds(pair.short_end.stride_m < pair.long_end.stride_m);
  const next = told(await rider.GET("/api/v1/barns/{barn_id}/horses/{horse_id}/pairings/{pairing_id}/next-ask", {
    params: { path, query: { distance_m: DISTANCE_M, first_height_cm: 85, second_height_cm: 85, as_of: day } },
  }), 200);
  same([next.distance_m, next.natural, next.status, next.efforts], [DISTANCE_M, 5, "repeat", 6]);
  same(next.ladder, [5, 6, 5]);
  const ask = there(next.ask);
  same([ask.count, ask.distance_m], [6, DISTANCE_M]);
  holds(0 < ask.cautious_chance && ask.cautious_chance < ask.chance && ask.chance < 1);
  passed(37);
}

async function stoodDown(people: People, place: Yard, booked: Booked, later: string): Promise<void> {
  const { client: owner, personId } = people.owner;
  const path = { barn_id: people.barnId, horse_id: place.horseId };
  const down = told(await owner.POST("/api/v1/barns/{barn_id}/horses/{horse_id}/stand-downs", {
    params: { path, header: key() }, body: { source: "vet", scope: "jumping", from_date: later, reason: "A warm tendon." },
  }), 201);
  same([down.horse_id, down.needs_clearance, down.from_date, down.recorded_by], [place.horseId, true, later, personId]);
  const flagged = told(await people.trainer.client.GET("/api/v1/barns/{barn_id}/sessions/{session_id}/entries/{entry_id}", {
    params: { path: { barn_id: people.barnId, session_id: booked.askedSessionId, entry_id: booked.askedEntryId } },
  }), 200);
  same(flagged.status, "requested");
  same(flagged.flags.map((f) => [f.code, f.binding] as const), [["stand_down", true]]);
  const rest = told(await owner.GET("/api/v1/barns/{barn_id}/horses/{horse_id}/rest", { params: { path } }), 200);
  same(rest.next_14_days.filter((c) => c.day === later).map((c) => c.at_most), [0]);
  passed(38);
}

async function rides(people: People, place: Yard, ridden: Ridden): Promise<void> {
  const found: Schemas["RideOut"][] = [];
  const sizes: number[] = [];
  let cursor: string | undefined;
  do {
    const page = told(await people.owner.client.GET("/api/v1/barns/{barn_id}/rides", {
      params: {
        path: { barn_id: people.barnId },
        query: { horse_id: place.horseId, limit: 2, ...(cursor === undefined ? {} : { cursor }) },
      },
    }), 200);
    found.push(...page.items);
    sizes.push(page.items.length);
    cursor = page.next_cursor ?? undefined;
  } while (cursor !== undefined);
  same(sizes, [2, 2, 1]);
  same(new Set(found.map((ride) => ride.id)).size, 5);
  const counted = found.filter((ride) => ride.standing === "counted");
  same(counted.map((ride) => there(ride.go)).sort(), [1, 2, 3, 4]);
  same(counted.reduce((sum, ride) => sum + ride.efforts, 0), 7);
  const corrections = found.filter((ride) => ride.supersedes);
  same(corrections.map((ride) => [ride.id, ride.supersedes] as const), [[ridden.correctionId, ridden.correctedId]]);
  passed(39);
}

export async function run(people: People, place: Yard, booked: Booked, ridden: Ridden): Promise<void> {
  const later = dayAfter(booked.day, 3);
  await work(people, place, booked.day, later);
  await progress(people, place, booked.day);
  await stoodDown(people, place, booked, later);
  await rides(people, place, ridden);

  const rider = people.rider.client;
  same(told(await rider.GET("/api/v1/me"), 200).name, "Corin Vale");
  const gone = await rider.DELETE("/api/v1/sign-ins/current");
  same([gone.response.status, await gone.response.text().catch(() => "")], [204, ""]);
  refused(await rider.GET("/api/v1/me"), 401, "unauthenticated");
  passed(40);
}
