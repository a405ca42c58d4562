//! Steps 1 to 8: people.
use crate::client::{Client, types::*};
use crate::steps::{PASSWORD, client, key, of, passed, today, told, versioned};
use chrono::{Datelike, NaiveDate};
use std::collections::HashMap;
use std::num::NonZeroU32;

/// Somebody of the barn, signed in.
pub struct Member {
    pub client: Client,
    pub person_id: IdPerson,
}

pub struct People {
    pub base: String,
    pub barn_id: IdBarn,
    pub trainer: Member,
    pub rider: Member,
    pub owner: Member,
    pub guardian: Member,
    pub child_id: IdPerson,
}

fn email(who: &str) -> Email {
    of(&format!("{who}.{}@example.org", uuid::Uuid::now_v7()))
}

/// Signs up, and in.
async fn account(base: &str, body: AccountIn, email: Email) -> (AccountOut, SignInOut) {
    let nobody = client(base, None);
    let made = told(nobody.sign_in_sign_up().body(body).send().await, 201);
    let sign_in = SignInIn::builder().email(email).password(of::<Password>(PASSWORD));
    (made, told(nobody.sign_in_create().body(sign_in).send().await, 201))
}

pub async fn founder(base: &str, name: &str) -> (AccountOut, SignInOut) {
    let barn = BarnIn {
        id: None,
        name: of("Withy Bottom"),
        time_zone: of("Europe/Lisbon"),
        units: Units::Metric,
        labels: Labels::British,
        riders_confirm: None,
    };
    let email = email("trainer");
    let body = AccountInFounder { email: email.clone(), name: of(name), password: of(PASSWORD), barn };
    account(base, body.into(), email).await
}

async fn invited(trainer: &Client, base: &str, barn: &IdBarn, name: &str, roles: Vec<Role>, ward: Option<&IdPerson>) -> (InvitationOut, Member, MembershipOut) {
    let body = InvitationIn::builder().name(of::<Name>(name)).roles(ListRole(roles.clone())).guardian_of(ward.cloned());
    let sent = trainer.invitations_create().barn_id(barn.clone()).idempotency_key(key()).body(body).send().await;
    let made = told(sent, 201);
    assert!(made.expires_at.0 > made.created_at.0);
    let (email, invitation) = (email("member"), made.secret.clone().expect("a secret"));
    let joins = AccountInInvited { email: email.clone(), name: of(name), password: of(PASSWORD), invitation };
    let (_, signed) = account(base, joins.into(), email).await;
    let [membership] = <[_; 1]>::try_from(signed.memberships).expect("one barn");
    assert_eq!((&membership.barn_id, &membership.roles), (barn, &roles));
    let member = Member { client: client(base, Some(&signed.access_token)), person_id: membership.person_id.clone() };
    (made, member, membership)
}

pub async fn run(base: &str) -> People {
    let (made, signed) = founder(base, "Ilse Marrow").await;
    let [membership] = <[_; 1]>::try_from(made.memberships).expect("one barn");
    assert_eq!((made.name.as_str(), &membership.roles[..], membership.wards.len()), ("Ilse Marrow", &[Role::Trainer][..], 0));
    let barn = &membership.barn;
    assert_eq!((barn.name.as_str(), barn.units, barn.riders_confirm), ("Withy Bottom", Units::Metric, false));
    passed(1);

    assert_eq!((signed.token_type.as_str(), &signed.account_id), ("Bearer", &made.id));
    assert_eq!(signed.memberships[0].barn_id, membership.barn_id);
    assert!(signed.expires_in.get() > 0 && *signed.access_token != *signed.refresh_token);
    let barn_id = membership.barn_id;
    let trainer = Member { client: client(base, Some(&signed.access_token)), person_id: membership.person_id };
    passed(2);

    let (before, version) = versioned(trainer.client.barns_get().barn_id(barn_id.clone()).send().await, 200);
    let body = BarnPatch { name: Some(of("Withy Top")), ..BarnPatch::default() };
    let version = version.expect("an ETag");
    let changed = trainer.client.barns_change().barn_id(barn_id.clone()).if_match(version.clone()).body(body).send().await;
    let (after, next) = versioned(changed, 200);
    assert_eq!((before.name.as_str(), after.name.as_str()), ("Withy Bottom", "Withy Top"));
    assert_eq!((&after.id, after.time_zone.as_str(), after.labels), (&barn_id, "Europe/Lisbon", Labels::British));
    assert_eq!(after.created_at, before.created_at);
    assert_ne!(next, Some(version));
    passed(3);

    let born = Day(NaiveDate::from_ymd_opt(today().year() - 11, 2, 3).expect("a day"));
    let body = PersonIn::builder().name(of::<Name>("Wren Marrow")).roles(ListRole(vec![Role::Rider]));
    let body = body.birth_date(born.clone()).step_m(OwnStep(0.62));
    let child = told(trainer.client.people_create().barn_id(barn_id.clone()).idempotency_key(key()).body(body).send().await, 201);
    assert_eq!((child.minor, child.linked, &child.birth_date), (Some(true), Some(false), &Some(born)));
    assert_eq!(child.step_m, Some(Metres(0.62)));
    passed(4);

    let by = &trainer.client;
    let (one, rider, _) = invited(by, base, &barn_id, "Corin Vale", vec![Role::Rider], None).await;
    let (two, owner, _) = invited(by, base, &barn_id, "Odile Thorn", vec![Role::Owner], None).await;
    passed(5);

    let (three, guardian, theirs) = invited(by, base, &barn_id, "Bram Marrow", vec![], Some(&child.id)).await;
    assert_eq!(theirs.wards, [WardOut { person_id: child.id.clone(), name: of("Wren Marrow") }]);
    assert_eq!(three.guardian_of.as_ref(), Some(&child.id));
    passed(6);

    let listed = told(by.invitations_list().barn_id(barn_id.clone()).send().await, 200).items;
    let accepted: HashMap<String, Option<IdPerson>> = listed.iter().map(|i| (i.id.to_string(), i.accepted_by.clone())).collect();
    let by_whom = [(one, &rider), (two, &owner), (three, &guardian)];
    assert_eq!(accepted, by_whom.map(|(i, who)| (i.id.to_string(), Some(who.person_id.clone()))).into());
    assert!(listed.iter().all(|i| i.accepted_at.is_some() && i.secret.is_none() && i.revoked_at.is_none()));
    passed(7);

    let (mut found, mut sizes, mut cursor) = (Vec::new(), Vec::new(), None);
    loop {
        let ask = by.people_list().barn_id(barn_id.clone()).limit(PageSize(NonZeroU32::new(2).expect("two")));
        let ask = match cursor {
            Some(cursor) => ask.cursor::<Cursor>(cursor),
            None => ask,
        };
        let page = told(ask.send().await, 200);
        sizes.push(page.items.len());
        found.extend(page.items);
        cursor = page.next_cursor;
        if cursor.is_none() {
            break;
        }
    }
    assert_eq!(sizes, [2, 2, 1]);
    let sorted = |mut texts: Vec<String>| {
        texts.sort();
        texts
    };
    let all = [&trainer.person_id, &rider.person_id, &owner.person_id, &guardian.person_id, &child.id];
    assert_eq!(sorted(found.iter().map(|p| p.id.to_string()).collect()), sorted(all.map(IdPerson::to_string).to_vec()));
    let linked = found.iter().filter(|p| p.linked == Some(true)).map(|p| p.name.to_string()).collect();
    assert_eq!(sorted(linked), ["Bram Marrow", "Corin Vale", "Ilse Marrow", "Odile Thorn"]);
    passed(8);
    People { base: base.to_owned(), barn_id, trainer, rider, owner, guardian, child_id: child.id }
}
