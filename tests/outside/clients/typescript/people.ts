// Steps 1 to 8: people.
import { randomUUID } from "node:crypto";
import { client, etag, holds, key, passed, PASSWORD, same, there, told, today, type Client, type Schemas } from "./steps.js";

/** Somebody of the barn, signed in. */
export interface Member {
  client: Client;
  personId: string;
}

export interface People {
  base: string;
  barnId: string;
  trainer: Member;
  rider: Member;
  owner: Member;
  guardian: Member;
  childId: string;
}

const email = (who: string): string => `${who}.${randomUUID()}@example.org`;

/** Signs up, and in. */
async function account(base: string, body: Schemas["AccountIn"]): Promise<[Schemas["AccountOut"], Schemas["SignInOut"]]> {
  const nobody = client(base);
  const made = told(await nobody.POST("/api/v1/accounts", { body }), 201);
  const signIn = { email: body.email, password: PASSWORD };
  return [made, told(await nobody.POST("/api/v1/sign-ins", { body: signIn }), 201)];
}

export async function founder(base: string, name: string): Promise<[Schemas["AccountOut"], Schemas["SignInOut"]]> {
  const barn: Schemas["BarnIn"] = { name: "Withy Bottom", time_zone: "Europe/Lisbon", units: "metric", labels: "british" };
  return account(base, { email: email("trainer"), name, password: PASSWORD, barn });
}

async function invited(
  trainer: Client, base: string, barnId: string, body: Schemas["InvitationIn"],
): Promise<[Schemas["InvitationOut"], Member, Schemas["MembershipOut"]]> {
  const made = told(await trainer.POST("/api/v1/barns/{barn_id}/invitations", {
    params: { path: { barn_id: barnId }, header: key() }, body,
  }), 201);
  holds(made.expires_at > made.created_at);
  const [, signed] = await account(base, {
    email: email("member"), name: body.name, password: PASSWORD, invitation: there(made.secret),
  });
  const membership = there(signed.memberships[0]);
  same([signed.memberships.length, membership.barn_id], [1, barnId]);
  same(membership.roles, body.roles);
  return [made, { client: client(base, signed.access_token), personId: membership.person_id }, membership];
}

export async function run(base: string): Promise<People> {
  const [made, signed] = await founder(base, "Ilse Marrow");
  const membership = there(made.memberships[0]);
  same([made.name, made.memberships.length, membership.wards.length], ["Ilse Marrow", 1, 0]);
  same(membership.roles, ["trainer"]);
  same([membership.barn.name, membership.barn.units, membership.barn.riders_confirm], ["Withy Bottom", "metric", false]);
  passed(1);

  same([signed.token_type, signed.account_id], ["Bearer", made.id]);
  same(signed.memberships.map((m) => m.barn_id), [membership.barn_id]);
  holds(signed.expires_in > 0 && signed.access_token !== signed.refresh_token);
  const barnId = membership.barn_id;
  const trainer = { client: client(base, signed.access_token), personId: membership.person_id };
  const path = { barn_id: barnId };
  passed(2);

  const read = await trainer.client.GET("/api/v1/barns/{barn_id}", { params: { path } });
  const before = told(read, 200);
  const changed = await trainer.client.PATCH("/api/v1/barns/{barn_id}", {
    params: { path, header: { "If-Match": etag(read) } }, body: { name: "Withy Top" },
  });
  const after = told(changed, 200);
  same([before.name, after.name], ["Withy Bottom", "Withy Top"]);
  same([after.id, after.time_zone, after.labels, after.created_at], [barnId, "Europe/Lisbon", "british", before.created_at]);
  holds(etag(changed) !== etag(read));
  passed(3);

  const born = `${new Date().getUTCFullYear() - 11}-02-03`;
  const child = told(await trainer.client.POST("/api/v1/barns/{barn_id}/people", {
    params: { path, header: key() }, body: { name: "Wren Marrow", roles: ["rider"], birth_date: born, step_m: 0.62 },
  }), 201);
  same([child.minor, child.linked, child.step_m, child.birth_date], [true, false, 0.62, born]);
  holds(born < today());
  passed(4);

  const [one, rider] = await invited(trainer.client, base, barnId, { name: "Corin Vale", roles: ["rider"] });
  const [two, owner] = await invited(trainer.client, base, barnId, { name: "Odile Thorn", roles: ["owner"] });
  passed(5);

  const actsFor: Schemas["InvitationIn"] = { name: "Bram Marrow", roles: [], guardian_of: child.id };
  const [three, guardian, theirs] = await invited(trainer.client, base, barnId, actsFor);
  same(theirs.wards, [{ person_id: child.id, name: "Wren Marrow" }]);
  same(three.guardian_of, child.id);
  passed(6);

  const invitations = told(await trainer.client.GET("/api/v1/barns/{barn_id}/invitations", { params: { path } }), 200);
  const accepted = invitations.items.map((i) => [i.id, i.accepted_by] as const).sort();
  const wanted = [[one.id, rider.personId], [two.id, owner.personId], [three.id, guardian.personId]] as const;
  same(accepted, [...wanted].sort());
  holds(invitations.items.every((i) => !!i.accepted_at && !i.secret && !i.revoked_at));
  passed(7);

  const found: Schemas["PersonOut"][] = [];
  const sizes: number[] = [];
  let cursor: string | undefined;
  do {
    const page = told(await trainer.client.GET("/api/v1/barns/{barn_id}/people", {
      params: { path, query: { limit: 2, ...(cursor === undefined ? {} : { cursor }) } },
    }), 200);
    found.push(...page.items);
    sizes.push(page.items.length);
    cursor = page.next_cursor ?? undefined;
  } while (cursor !== undefined);
  same(sizes, [2, 2, 1]);
  const all = [trainer.personId, rider.personId, owner.personId, guardian.personId, child.id];
  same(found.map((p) => p.id).sort(), all.sort());
  same(found.filter((p) => p.linked).map((p) => p.name).sort(), ["Bram Marrow", "Corin Vale", "Ilse Marrow", "Odile Thorn"]);
  passed(8);
  return { base, barnId, trainer, rider, owner, guardian, childId: child.id };
}
