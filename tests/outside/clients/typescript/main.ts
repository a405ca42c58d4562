// The forty steps of scenario.md: main.js <address of the service>.
import * as people from "./people.js";
import * as ringside from "./ringside.js";
import * as seen from "./seen.js";
import * as sessions from "./sessions.js";
import * as yard from "./yard.js";

const crowd = await people.run(process.argv[2] ?? "");
const place = await yard.run(crowd);
const booked = await sessions.run(crowd, place);
const ridden = await ringside.run(crowd, booked);
await seen.run(crowd, place, booked, ridden);
