"""Makes what a valid request names real: in its address, its query and its body."""
import uuid

from service import day


class Fitting:
    def __init__(self, barn):
        self.barn, self.cursors = barn, {}

    # what bodies refer to

    def reference(self, name, operation, path_parameters):
        """The id of something that is there, by the name of the field."""
        barn = self.barn
        fresh = {
            ("horses_create_ownership", "person_id"): lambda: barn.person("owner"),
            ("horses_create_pairing", "rider_id"): lambda: barn.person("rider"),
            ("people_create_guardian", "guardian_id"): lambda: barn.person(None),
            ("invitations_create", "person_id"): lambda: barn.person("rider"),
        }.get((operation, name))
        if fresh:
            return fresh()
        if name in ("trainer_id", "adult_id"):
            return barn.trainer.person_id
        if name == "guardian_of":
            return barn.child
        if name == "rider_id" and operation.startswith("sessions_") and path_parameters is not None:
            self.own("horse_id", operation)  # whom it is ridden by
            return barn.rides(barn.places[operation])
        if name in ("rider_id", "person_id"):
            return barn.rider_id
        if path_parameters is None:  # of a query
            return self.stable(name)
        if name in path_parameters:
            return path_parameters[name]
        return self.own(name, operation) if name == "entry_id" or operation.startswith("sessions_") else self.stable(name)

    def stable(self, name):
        need = {"pairing_id": "{horse_id}", "entry_id": "{session_id}"}.get(name, "{%s}" % name)
        ids = self.barn.stable[""]
        ids["barn_id"] = self.barn.barn_id
        self.barn.complete(ids, need)
        return ids[name]

    def own(self, name, operation):
        """Of a thing that only this operation books."""
        if name not in ("horse_id", "pairing_id", "entry_id"):
            return self.stable(name)
        ids = self.barn.places.setdefault(operation, {})
        self.barn.complete(ids, "{session_id}" if name == "entry_id" else "{horse_id}")
        return ids[name]

    def fill(self, value, operation, path_parameters):
        """Real ids where the body has made-up ones, and new ones for what it makes."""
        if isinstance(value, list):
            return [self.fill(item, operation, path_parameters) for item in value]
        if not isinstance(value, dict):
            return value
        filled = {}
        for name, item in value.items():
            if name == "id" and isinstance(item, str):
                item = str(uuid.uuid4())
            elif (name.endswith("_id") and name != "show_id" or name == "guardian_of") and isinstance(item, str):
                item = self.reference(name, operation, path_parameters)
            else:
                item = self.fill(item, operation, path_parameters)
            filled[name] = item
        return filled

    def body(self, body, operation, path_parameters):
        if not isinstance(body, dict):
            return body
        body = self.fill(body, operation, path_parameters)
        particular = getattr(self, "of_" + operation, None)
        if particular:
            particular(body)
        return body

    # what an operation's fields must be for it to be done

    def of_sign_in_sign_up(self, body):
        body["email"] = f"{uuid.uuid4()}@example.org"
        if isinstance(body.get("invitation"), str):
            body["invitation"] = self.barn.invitation(roles=["rider"])

    def of_sign_in_create(self, body):
        spare = self.barn.spare("sign_in_create")
        body |= {"email": spare.email, "password": spare.password}
        if isinstance(body.get("known_by"), str):
            body["known_by"] = spare.now()["refresh_token"]

    def of_sign_in_refresh(self, body):
        body["refresh_token"] = self.barn.spare("sign_in_refresh").now()["refresh_token"]

    def of_sign_in_change_password(self, body):
        body["old_password"] = self.barn.spare("sign_in_change_password").password

    def of_sign_in_join(self, body):
        body["invitation"] = self.barn.invitation(roles=["rider"])

    def of_sessions_create(self, body):
        body |= self.barn.slot()

    def sourced(self, body):
        if "source" in body:
            body["source"] = self.barn.source()[0]

    of_workload_create_limit = sourced

    def of_workload_create_horse_stand_down(self, body):
        self.sourced(body)
        self.spell(body)

    def of_workload_create_rider_stand_down(self, body):
        body["source"] = "trainer"
        self.spell(body)

    def spell(self, body):
        """Days in their order."""
        for name, ahead in (("from_date", 50), ("free_from_date", 54)):
            if isinstance(body.get(name), str):
                body[name] = day(ahead)

    of_workload_change_horse_stand_down = of_workload_change_rider_stand_down = spell

    def cleared(self, body):
        body["cleared_on"] = day(0)

    of_workload_clear_horse_stand_down = of_workload_clear_rider_stand_down = cleared

    # queries

    def query(self, query, operation):
        """Real ids, and days in their order."""
        for name in list(query):
            if name.endswith("_id") and name != "show_id" and isinstance(query[name], str):
                query[name] = self.reference(name, operation, None)
        if "from" in query and "to" in query:
            dated = "T" in str(query["from"])
            query["from"], query["to"] = (day(n) + ("T00:00:00Z" if dated else "") for n in (-3, 4))

    def cursor(self, query, path, token):
        """One that the list itself gave; a list of one page gives none."""
        if path not in self.cursors:
            answer = self.barn.service.ask("GET", f"{path}?limit=1", token=token)
            self.cursors[path] = answer.json().get("next_cursor") if answer.status_code == 200 else None
        if self.cursors[path]:
            query["cursor"] = self.cursors[path]
        else:
            del query["cursor"]
