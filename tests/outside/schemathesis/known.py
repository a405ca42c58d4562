"""Bodies that are taken: what made-up ones, whose fields contradict each other, are now and then replaced by."""
import uuid

from barn import ABOUT, FENCES, ITEMS, REVISION
from service import day, instant

ARENA = {"name": "Top school", "length_m": 60, "width_m": 25,
         "hours": [{"weekday": "monday", "opens": "06:00", "closes": "22:00"}]}
HEIGHTS = {"first_height_cm": 90, "second_height_cm": 90}
GROUP = {**HEIGHTS, "distance_min_m": 17.5, "distance_max_m": 19}


def of(operation, fitting, path):
    """The body for an operation, with ids of things that are there; `None` where a made-up one does as well."""
    barn = fitting.barn

    def ref(name):
        return fitting.reference(name, operation, path)

    makers = {
        "arenas_create": lambda: ARENA,
        "arenas_change": lambda: ARENA,
        "evaluations_barn_group": lambda: {**GROUP, "members": [{"horse_id": ref("horse_id")}]},
        "evaluations_barn_line": lambda: {**HEIGHTS, "distance_m": 18, "horse_id": ref("horse_id")},
        "evaluations_group": lambda: {**GROUP, "members": [{"horse": {"profile": "horse"}}]},
        "evaluations_line": lambda: {**HEIGHTS, "distance": "60 ft", "horse": {"profile": "horse"}},
        "exercises_create": lambda: {"name": "Two fences, 72 ft", "revision": REVISION},
        "exercises_create_revision": lambda: {"level": "novice", "fences": FENCES},
        "fence_sets_create": lambda: {"name": "Top school set", "items": ITEMS},
        "invitations_create": lambda: {"name": "Guest", "roles": [], "guardian_of": barn.child},
        "outings_create": lambda: {"kind": "lesson", "on_date": day(-2), "planned_efforts": 12},
        "outings_change": lambda: {"done": {"efforts": 12, "height_cm": 80}},
        "people_create": lambda: {"name": "Robin", "roles": ["rider"], "birth_date": "2001-06-04"},
        "people_change": lambda: {"name": "Robin"},
        "rail_links_create": lambda: {"label": "Gate", "expires_at": instant(600)},
        "rides_create": lambda: ABOUT,
        "rides_correct": lambda: ABOUT,
        "rides_create_batch": lambda: {"rides": [{"id": str(uuid.uuid4()), "entry_id": ref("entry_id"), **ABOUT}]},
        "sessions_create": lambda: {
            "kind": "jumping", "title": "Lines", "arena_id": ref("arena_id"), **barn.adult(), **barn.slot(),
            "entries": [{"horse_id": ref("horse_id"), "rider_id": ref("rider_id"), "planned_efforts": 8, "planned_height_cm": 80}]},
        "sessions_change": lambda: {"title": "Lines again"},
        "sessions_create_entry": lambda: {"horse_id": ref("horse_id"), "rider_id": ref("rider_id"), "planned_efforts": 8,
                                          "planned_height_cm": 80},
        "sessions_change_entry": lambda: {"status": "cancelled", "reason": "A knock."},
        "workload_create_limit": lambda: {"kind": "max_efforts_per_day", "value": 200, "source": barn.source()[0]},
        "workload_change_limit": lambda: {"value": 250},
    }
    return makers[operation]() if operation in makers else None
