//! The table of problem types: one row each, served as a page under `/problems/`.

/// One row: what it is called, its status, why it happens and what to do.
pub struct Row {
    pub code: &'static str,
    pub status: u16,
    pub title: &'static str,
    pub cause: &'static str,
    pub cure: &'static str,
}

impl Row {
    /// The page that says so.
    pub fn path(&self) -> String {
        format!("/problems/{}", self.code.replace('_', "-"))
    }
}

macro_rules! kinds {
    ($($kind:ident = $status:literal $code:literal, $title:literal, $cause:literal, $cure:literal;)*) => {
        /// The types of problem.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Kind { $($kind),* }

        impl Kind {
            pub const ALL: &'static [Self] = &[$(Self::$kind),*];

            pub const fn row(self) -> Row {
                match self {
                    $(Self::$kind => Row { code: $code, status: $status, title: $title, cause: $cause, cure: $cure },)*
                }
            }
        }
    };
}

kinds! {
    BadRequest = 400 "bad_request", "The request could not be read",
        "The request is not well-formed: its JSON or a header cannot be parsed, or a cursor is not one that this list gave out.",
        "Send well-formed JSON, without a key twice, in UTF-8; ETags and cursors as they were given out.";
    KeyRequired = 400 "idempotency_key_required", "An Idempotency-Key is required",
        "A request that creates something came without the header Idempotency-Key.",
        "Send a fresh key of 8 to 80 letters, digits, - or _ with each new request, and the same key when you repeat one.";
    Unauthenticated = 401 "unauthenticated", "Sign in",
        "The request carries no bearer token, or one that is expired, ended or not ours.",
        "Sign in, or refresh the token, and send the request again.";
    WrongPassword = 401 "wrong_credentials", "E-mail and password do not match",
        "No account has this e-mail address and password.",
        "Check both. After many wrong guesses an account rests for a while.";
    Forbidden = 403 "forbidden", "Not yours to do",
        "You may see this, but your role in the barn does not allow this action.",
        "Ask whoever may: a trainer of the barn; the horse's owner, where a limit or stand-down is the owner's.";
    NotFound = 404 "not_found", "No such thing",
        "There is nothing at this address that you may know of.",
        "Check the address and the barn.";
    MethodNotAllowed = 405 "method_not_allowed", "Method not allowed",
        "This address exists, but not with this method.",
        "Use one of the methods in the header Allow.";
    TooSlow = 408 "too_slow", "The body came too slowly",
        "The body did not arrive in ten seconds, nor at a KiB a second after that.",
        "Send it again; with the same Idempotency-Key it counts once.";
    Conflict = 409 "conflict", "It stands there already",
        "Something else already has this id, name or place.",
        "Read the present state and decide again.";
    Occupied = 409 "occupied", "Somebody or something is elsewhere at that time",
        "A horse, a person, an arena or a fence set would be in two places at once.",
        "Choose another time, or take something else in place of what stands in reasons.";
    RuleRefused = 409 "rule_refused", "A rule of the barn refuses this",
        "The horse's workload limits, a stand-down, or a rule of safety refuse it; every reason stands in reasons.",
        "See first_allowed_date where there is one; a trainer may override soft limits with a written reason.";
    WrongState = 409 "wrong_state", "Not in this state",
        "What you want to change is in a state that does not allow it.",
        "Read the present state and decide again.";
    LastTrainer = 409 "last_trainer", "The barn needs a trainer",
        "The change would leave the barn without a trainer who can sign in.",
        "Give somebody else the role first.";
    NotPlaced = 409 "not_placed", "It stands nowhere yet",
        "The revision is not placed in an arena, so that there is nothing to draw.",
        "Add a revision with an arena and a position for each fence.";
    NoRoom = 409 "no_room", "It fits nowhere in this arena",
        "Every place and every quarter turn was tried, and something is impossible at each.",
        "Take a larger arena, another exercise, or less room around its lines.";
    NothingToSet = 409 "nothing_to_set", "The session has no exercise",
        "A sheet says how an exercise is set, and this session rides none.",
        "Choose an exercise for the session first.";
    AtOdds = 409 "at_odds", "Well-formed, but it does not fit",
        "Fields or parameters contradict each other, name what is not in this barn, or do not fit what stands there or the day.",
        "Correct what errors names and send it again; nothing was stored.";
    PreconditionFailed = 412 "changed_meanwhile", "Somebody changed it meanwhile",
        "The ETag in If-Match is not the present one.",
        "Read it again, and decide on what it says now.";
    TooLarge = 413 "too_large", "The body is too large",
        "The body has more bytes than this address accepts.",
        "Send less at once; rides go in batches of at most 500.";
    UnsupportedMediaType = 415 "unsupported_media_type", "Send JSON",
        "The body is not application/json.",
        "Send application/json.";
    InvalidBody = 422 "invalid_body", "The body breaks a rule",
        "Fields are missing, unknown, or hold values that their schema in the document of this service does not allow.",
        "Correct the fields named in errors and send it again; nothing was stored.";
    InvalidQuery = 422 "invalid_query", "The query breaks a rule",
        "A parameter is missing, unknown, or holds a value that its schema in the document of this service does not allow.",
        "Correct the parameters named in errors.";
    KeyReused = 422 "idempotency_key_reused", "This Idempotency-Key was used for something else",
        "The same key came before with another body or address.",
        "Use a fresh key for each new request.";
    PreconditionRequired = 428 "if_match_required", "If-Match is required",
        "A change came without the header If-Match.",
        "Read the thing, and send its ETag in If-Match, so that nobody's change is lost.";
    TooManyRequests = 429 "too_many_requests", "Too many requests",
        "Requests came faster than this address serves them.",
        "Wait as long as Retry-After says.";
    Internal = 500 "internal", "Our fault",
        "Something failed that should not.",
        "Try again; if it stays, tell whoever runs this service when it happened.";
    Busy = 503 "busy", "Busy",
        "The service did not get round to the request in time.",
        "Wait as long as Retry-After says, and send it again: with the same Idempotency-Key it counts once.";
}
