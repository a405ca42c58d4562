//! THE list: every address of the API and the handler that answers it.
use super::Routes;
use crate::routes;

pub fn all() -> Routes {
    let mut r = Routes::default();
    routes! { r,
        docs / handlers => openapi, page, asset, problem;
        health / handlers => livez, readyz, metrics;
        sign_in / sign_up => sign_up;
        sign_in / handlers => create, refresh, sign_out, sign_out_everywhere;
        sign_in / me => get_me, change_me, change_password, join;
        barns / handlers => list, create, get, change;
        people / handlers => list, create, get, change, remove;
        people / guardians => list_guardians, create_guardian, get_guardian, end_guardian;
        invitations / handlers => list, create, get, revoke;
        horses / handlers => list, create, get, change, remove;
        horses / ownerships => list_ownerships, create_ownership, get_ownership, end_ownership;
        horses / pairings => list_pairings, list_all_pairings, create_pairing, get_pairing, change_pairing, end_pairing;
        adjustability / handlers => horse, pair;
        adjustability / next_ask => horse_next, pair_next;
        arenas / handlers => list, create, get, change, remove;
        evaluations / lines => line, barn_line;
        evaluations / layouts => evaluate, barn_evaluate;
        evaluations / group_distances => group, barn_group;
        exercises / handlers => list, create, get, change, remove;
        exercises / revisions => list_revisions, create_revision, get_revision;
        library / handlers => list, get, place;
        fence_sets / handlers => list, create, get, change, remove;
        rail_links / handlers => list, create, get, revoke;
        rides / handlers => list, create, get, correct, choose, list_all, create_batch;
        setting / handlers => card_html, plan_svg, sheet_html, sheet_pdf, session_html, session_pdf;
        workload / limits => list_limits, create_limit, get_limit, change_limit, end_limit;
        workload / stand_downs => list_horse_stand_downs, create_horse_stand_down, get_horse_stand_down,
            change_horse_stand_down, clear_horse_stand_down;
        workload / rider_stand_downs => list_rider_stand_downs, create_rider_stand_down, get_rider_stand_down,
            change_rider_stand_down, clear_rider_stand_down;
        workload / efforts => get_efforts;
        workload / rest => get_rest;
        outings / handlers => list, create, get, change, cancel;
        sessions / calendar => calendar;
        sessions / handlers => list, create, get, change;
        sessions / entry_handlers => list_entries, create_entry, get_entry, change_entry;
    }
    r
}
