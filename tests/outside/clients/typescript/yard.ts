// Steps 9 to 17: horses, whose they are, who rides them, where, and over what.
import { dayAfter, holds, key, passed, same, there, told, today, type Schemas } from "./steps.js";
import type { Member, People } from "./people.js";

export const DISTANCE_M = 21.3;

export interface Yard {
  horseId: string;
  ponyId: string;
  pairingId: string;
  ownersLimitId: string;
  arenaId: string;
  fenceSetId: string;
  exerciseId: string;
}

async function horses(people: People): Promise<[Schemas["HorseOut"], Schemas["HorseOut"]]> {
  const { client } = people.trainer;
  const path = { barn_id: people.barnId };
  const stride: Schemas["NormalStrideIn"] = { stride_m: 3.47, source: "counted", measured_on: dayAfter(today(), -40) };
  const horse = told(await client.POST("/api/v1/barns/{barn_id}/horses", {
    params: { path, header: key() }, body: { name: "Sorrel Fen", profile: "horse", normal_stride: stride },
  }), 201);
  same([horse.name, horse.profile, horse.green], ["Sorrel Fen", "horse", false]);
  same(horse.normal_stride, stride);
  passed(9);

  const once = key();
  const body: Schemas["HorseIn"] = { name: "Pin Oak", profile: "medium_pony" };
  const pony = told(await client.POST("/api/v1/barns/{barn_id}/horses", { params: { path, header: once }, body }), 201);
  const again = told(await client.POST("/api/v1/barns/{barn_id}/horses", { params: { path, header: once }, body }), 201);
  same(again, pony);
  same(pony.normal_stride.source, "guess");
  passed(10);
  return [horse, pony];
}

async function whose(people: People, horse: string, pony: string): Promise<string> {
  const { client } = people.trainer;
  const of = (horse_id: string) => ({ path: { barn_id: people.barnId, horse_id }, header: key() });
  const owner = people.owner.personId;
  const ownership = told(await client.POST("/api/v1/barns/{barn_id}/horses/{horse_id}/ownerships", {
    params: of(horse), body: { person_id: owner, kind: "owner" },
  }), 201);
  same([ownership.horse_id, ownership.person_id, ownership.kind], [horse, owner, "owner"]);
  passed(11);

  const pair = async (mount: string, body: Schemas["PairingIn"]): Promise<string> => {
    const made = told(await client.POST("/api/v1/barns/{barn_id}/horses/{horse_id}/pairings", { params: of(mount), body }), 201);
    same([made.horse_id, made.rider_id, made.level, made.up_to_height_cm], [mount, body.rider_id, body.level, body.up_to_height_cm]);
    return made.id;
  };
  await pair(pony, { rider_id: people.childId, level: "novice", up_to_height_cm: 60 });
  const pairing = await pair(horse, { rider_id: people.rider.personId, level: "usual", up_to_height_cm: 100 });
  passed(12);
  return pairing;
}

async function limits(people: People, horse: string): Promise<string> {
  const limited = async (member: Member, body: Schemas["LimitIn"], binding: boolean): Promise<Schemas["LimitOut"]> => {
    const made = told(await member.client.POST("/api/v1/barns/{barn_id}/horses/{horse_id}/workload-limits", {
      params: { path: { barn_id: people.barnId, horse_id: horse }, header: key() }, body,
    }), 201);
    same([made.kind, made.value, made.set_by, made.binding], [body.kind, body.value, member.personId, binding]);
    return made;
  };
  const trainers = await limited(people.trainer, { kind: "max_efforts_per_day", source: "trainer", value: 20, hard: false }, false);
  const owners = await limited(people.owner, { kind: "max_efforts_per_session", source: "owner", value: 14 }, true);
  holds(trainers.words.includes("20") && owners.words.includes("14"));
  passed(13);
  return owners.id;
}

async function ground(people: People): Promise<[string, string, string]> {
  const { client } = people.trainer;
  const path = { barn_id: people.barnId };
  const shed: Schemas["Obstruction"] = { name: "Shed", x_m: 50, y_m: 0, length_m: 6.5, width_m: 3 };
  const arena = told(await client.POST("/api/v1/barns/{barn_id}/arenas", {
    params: { path, header: key() },
    body: { name: "Lower school", length_m: 58.5, width_m: 27, footing: "sand_and_fibre", obstructions: [shed] },
  }), 201);
  same([arena.length_m, arena.width_m, arena.footing, arena.indoor], [58.5, 27, "sand_and_fibre", false]);
  same(arena.obstructions, [shed]);
  same(arena.sessions_at_once, 1);
  const items: Schemas["FenceItems"] = { wings_pairs: 5, poles: 19, planks: 1, fillers: 2, cups: 24, safety_cups: 4 };
  const fences = told(await client.POST("/api/v1/barns/{barn_id}/fence-sets", {
    params: { path, header: key() }, body: { name: "Green set", items },
  }), 201);
  same(fences.name, "Green set");
  same(fences.items, items);
  passed(14);

  const fence = (label: string, kind: Schemas["FenceKind"], x_m: number): Schemas["Fence"] =>
    ({ label, kind, height_cm: 85, position: { x_m, y_m: 13, heading_deg: 90 } });
  const line: Schemas["LayoutLine"] =
    { from: "1", to: "2", label: "A", kind: "straight", distance_m: DISTANCE_M, measured: "inside_to_inside" };
  const exercise = told(await client.POST("/api/v1/barns/{barn_id}/exercises", {
    params: { path, header: key() },
    body: {
      name: "Two for Sorrel",
      revision: { level: "usual", fences: [fence("1", "vertical", 15), fence("2", "wall", 36.5)], lines: [line], arena_id: arena.id },
    },
  }), 201);
  const first = exercise.revision;
  same([first.revision, first.efforts, first.height_cm, first.pole_passes], [1, 2, 85, 0]);
  same(first.lines.map((l) => [l.from, l.to, l.distance_m, l.measured] as const), [["1", "2", DISTANCE_M, "inside_to_inside"]]);
  same([first.arena_id, first.created_by], [arena.id, people.trainer.personId]);
  same(first.fences.map((f) => f.kind), ["vertical", "wall"]);
  passed(15);
  return [arena.id, fences.id, exercise.id];
}

export async function run(people: People): Promise<Yard> {
  const [horse, pony] = await horses(people);
  const pairingId = await whose(people, horse.id, pony.id);
  const ownersLimitId = await limits(people, horse.id);
  const [arenaId, fenceSetId, exerciseId] = await ground(people);
  const path = { barn_id: people.barnId };

  const card = told(await people.trainer.client.POST("/api/v1/barns/{barn_id}/lines", {
    params: { path },
    body: { horse_id: horse.id, distance_m: DISTANCE_M, first_height_cm: 85, second_height_cm: 85, step_m: 0.75 },
  }), 200);
  same([card.distance_m, card.normal_stride_m, card.natural_count, card.profile], [DISTANCE_M, 3.47, 5, "horse"]);
  const stride = (count: number): number => there(card.counts.find((c) => c.count === count)).stride_m;
  holds(stride(6) < stride(5));
  same(card.counts.filter((c) => c.natural).map((c) => c.count), [5]);
  same([card.on_foot.step_m, card.on_foot.whole], [0.75, 28]);
  passed(16);

  for (const [member, seen] of [[people.rider, horse], [people.guardian, pony], [people.owner, horse]] as const) {
    const page = told(await member.client.GET("/api/v1/barns/{barn_id}/horses", { params: { path } }), 200);
    same(page.items.map((h) => h.id), [seen.id]);
  }
  passed(17);
  return { horseId: horse.id, ponyId: pony.id, pairingId, ownersLimitId, arenaId, fenceSetId, exerciseId };
}
