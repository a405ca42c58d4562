//! One schema for both databases. Columns stand in the order of the migrations.

diesel::table! {
    use diesel::sql_types::{BigInt, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    account (id) {
        id -> Id,
        email -> Text,
        email_key -> Text,
        name -> Text,
        password_hash -> Text,
        disabled_at -> Nullable<Instant>,
        version -> BigInt,
        created_at -> Instant,
        links_void_before -> Nullable<Instant>,
    }
}

diesel::table! {
    use diesel::sql_types::{Integer, Text};
    use stridewright_core::sql::{Instant};

    guess (email_digest) {
        email_digest -> Text,
        guesses -> Integer,
        since -> Instant,
        last -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{Nullable};
    use stridewright_core::sql::{Id, Instant};

    sign_in (account_id, id) {
        account_id -> Id,
        id -> Id,
        created_at -> Instant,
        ended_at -> Nullable<Instant>,
    }
}

diesel::table! {
    use diesel::sql_types::{Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    refresh_token (account_id, id) {
        account_id -> Id,
        id -> Id,
        sign_in_id -> Id,
        secret_hash -> Text,
        expires_at -> Instant,
        used_at -> Nullable<Instant>,
    }
}

diesel::table! {
    use diesel::sql_types::{Text};
    use stridewright_core::sql::{Instant};

    signing_key (kid) {
        kid -> Text,
        secret -> Text,
        created_at -> Instant,
        retires_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{Text};
    use stridewright_core::sql::{Id, Instant};

    account_answer (account_id, key) {
        account_id -> Id,
        key -> Text,
        fingerprint -> Text,
        body -> Text,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Bool, Text};
    use stridewright_core::sql::{Id, Instant};

    barn (barn_id) {
        barn_id -> Id,
        name -> Text,
        time_zone -> Text,
        units -> Text,
        labels -> Text,
        riders_confirm -> Bool,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Bool, Double, Nullable, Text};
    use stridewright_core::sql::{Day, Id, Instant};

    person (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        account_id -> Nullable<Id>,
        name -> Text,
        trainer -> Bool,
        rider -> Bool,
        owner -> Bool,
        birth_date -> Nullable<Day>,
        minor -> Bool,
        step_m -> Nullable<Double>,
        removed_at -> Nullable<Instant>,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{};
    use stridewright_core::sql::{Id, Instant};

    guardian (barn_id, minor_id, guardian_id) {
        barn_id -> Id,
        minor_id -> Id,
        guardian_id -> Id,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Bool, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    invitation (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        secret_hash -> Text,
        name -> Text,
        trainer -> Bool,
        rider -> Bool,
        owner -> Bool,
        person_id -> Nullable<Id>,
        guardian_of -> Nullable<Id>,
        expires_at -> Instant,
        accepted_at -> Nullable<Instant>,
        accepted_by -> Nullable<Id>,
        revoked_at -> Nullable<Instant>,
        created_by -> Id,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{Text};
    use stridewright_core::sql::{Id, Instant};

    barn_answer (barn_id, caller_id, key) {
        barn_id -> Id,
        caller_id -> Id,
        key -> Text,
        fingerprint -> Text,
        body -> Text,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Integer, Text};
    use stridewright_core::sql::{Id, Instant};

    audit (barn_id, seq) {
        barn_id -> Id,
        seq -> BigInt,
        at -> Instant,
        caller_id -> Id,
        action -> Text,
        resource -> Text,
        resource_id -> Text,
        status -> Integer,
        digest -> Text,
        previous -> Text,
        hash -> Text,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Bool, Double, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    horse (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        name -> Text,
        profile -> Text,
        mover -> Text,
        green -> Bool,
        calibration -> Double,
        limit_preset -> Text,
        removed_at -> Nullable<Instant>,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{Double, Text};
    use stridewright_core::sql::{Day, Id, Instant};

    normal_stride (barn_id, horse_id, measured_on) {
        barn_id -> Id,
        horse_id -> Id,
        measured_on -> Day,
        stride_m -> Double,
        source -> Text,
        recorded_by -> Id,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    ownership (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        horse_id -> Id,
        person_id -> Id,
        kind -> Text,
        ended_at -> Nullable<Instant>,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Integer, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    pairing (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        horse_id -> Id,
        rider_id -> Id,
        level -> Text,
        up_to_height_cm -> Integer,
        ended_at -> Nullable<Instant>,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Bool, Integer, Nullable, Text};
    use stridewright_core::sql::{Day, Id, Instant};

    workload_limit (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        horse_id -> Id,
        kind -> Text,
        value -> Nullable<Integer>,
        min_efforts -> Nullable<Integer>,
        clear_days -> Nullable<Integer>,
        after_gap_days -> Nullable<Integer>,
        ramp_days -> Nullable<Integer>,
        max_per_session -> Nullable<Integer>,
        max_per_7_days -> Nullable<Integer>,
        source -> Text,
        hard -> Bool,
        valid_from -> Nullable<Day>,
        valid_to -> Nullable<Day>,
        from_height_cm -> Nullable<Integer>,
        note -> Nullable<Text>,
        set_by -> Id,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Nullable, Text};
    use stridewright_core::sql::{Day, Id, Instant};

    stand_down (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        horse_id -> Nullable<Id>,
        rider_id -> Nullable<Id>,
        source -> Text,
        scope -> Text,
        from_date -> Day,
        free_from_date -> Nullable<Day>,
        cleared_on -> Nullable<Day>,
        clearance_note -> Nullable<Text>,
        cleared_by -> Nullable<Id>,
        reason -> Text,
        recorded_by -> Id,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Integer, Nullable, Text};
    use stridewright_core::sql::{Day, Id, Instant};

    outing (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        horse_id -> Id,
        rider_id -> Nullable<Id>,
        kind -> Text,
        show_id -> Nullable<Text>,
        at -> Nullable<Instant>,
        on_date -> Nullable<Day>,
        status -> Text,
        planned_efforts -> Integer,
        planned_height_cm -> Nullable<Integer>,
        efforts -> Nullable<Integer>,
        height_cm -> Nullable<Integer>,
        note -> Nullable<Text>,
        recorded_by -> Id,
        superseded_by -> Nullable<Id>,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Bool, Double, Integer, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    arena (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        name -> Text,
        length_m -> Double,
        width_m -> Double,
        indoor -> Bool,
        footing -> Text,
        lights -> Bool,
        letters -> Text,
        hours -> Text,
        obstructions -> Text,
        sessions_at_once -> Integer,
        removed_at -> Nullable<Instant>,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    fence_set (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        name -> Text,
        items -> Text,
        removed_at -> Nullable<Instant>,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Integer, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    exercise (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        name -> Text,
        purpose -> Text,
        latest_revision -> Integer,
        removed_at -> Nullable<Instant>,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{Integer, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    exercise_revision (barn_id, exercise_id, revision) {
        barn_id -> Id,
        exercise_id -> Id,
        revision -> Integer,
        arena_id -> Nullable<Id>,
        level -> Text,
        layout -> Text,
        efforts -> Integer,
        pole_passes -> Integer,
        height_cm -> Integer,
        created_by -> Id,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Integer, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    session (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        kind -> Text,
        title -> Text,
        arena_id -> Nullable<Id>,
        trainer_id -> Nullable<Id>,
        fence_set_id -> Nullable<Id>,
        exercise_id -> Nullable<Id>,
        revision -> Nullable<Integer>,
        adult_id -> Nullable<Id>,
        starts_at -> Instant,
        ends_at -> Instant,
        places -> Integer,
        status -> Text,
        note -> Nullable<Text>,
        created_by -> Id,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Integer, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    entry (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        session_id -> Id,
        horse_id -> Nullable<Id>,
        rider_id -> Nullable<Id>,
        status -> Text,
        planned_efforts -> Integer,
        planned_height_cm -> Nullable<Integer>,
        planned_pole_passes -> Integer,
        asks -> Text,
        reason -> Nullable<Text>,
        override_reason -> Nullable<Text>,
        overridden -> Nullable<Text>,
        flags -> Nullable<Text>,
        closing -> Nullable<Text>,
        requested_by -> Id,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{BigInt, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    rail_link (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        session_id -> Id,
        label -> Text,
        secret_hash -> Text,
        expires_at -> Instant,
        revoked_at -> Nullable<Instant>,
        created_by -> Id,
        version -> BigInt,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{Integer, Text};
    use stridewright_core::sql::{Id, Instant};

    occupancy (barn_id, session_id, kind, resource_id) {
        barn_id -> Id,
        session_id -> Id,
        kind -> Text,
        resource_id -> Id,
        place -> Integer,
        starts_at -> Instant,
        ends_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{Integer, Nullable, Text};
    use stridewright_core::sql::{Id, Instant};

    ride (barn_id, id) {
        barn_id -> Id,
        id -> Id,
        entry_id -> Id,
        go -> Integer,
        kind -> Text,
        at -> Nullable<Instant>,
        fences -> Text,
        efforts -> Integer,
        pole_passes -> Integer,
        height_cm -> Nullable<Integer>,
        standing -> Text,
        supersedes -> Nullable<Id>,
        note -> Nullable<Text>,
        logged_by -> Id,
        created_at -> Instant,
    }
}

diesel::table! {
    use diesel::sql_types::{Bool, Double, Integer, Nullable, Text};
    use stridewright_core::sql::{Id};

    attempt (barn_id, ride_id, n) {
        barn_id -> Id,
        ride_id -> Id,
        n -> Integer,
        line -> Text,
        asked -> Nullable<Integer>,
        ridden -> Nullable<Integer>,
        distance_m -> Double,
        first_height_cm -> Integer,
        second_height_cm -> Integer,
        poles -> Bool,
        combination -> Bool,
        circle -> Bool,
        fault -> Nullable<Text>,
        approach -> Nullable<Text>,
        lost_first -> Nullable<Text>,
        seconds -> Nullable<Double>,
    }
}

diesel::allow_tables_to_appear_in_same_query!(
    account,
    guess,
    sign_in,
    refresh_token,
    signing_key,
    account_answer,
    barn,
    person,
    guardian,
    invitation,
    barn_answer,
    audit,
    horse,
    normal_stride,
    ownership,
    pairing,
    workload_limit,
    stand_down,
    outing,
    arena,
    fence_set,
    exercise,
    exercise_revision,
    session,
    entry,
    rail_link,
    occupancy,
    ride,
    attempt,
);
