"""The forty steps of scenario.md: main.py <address of the service>."""
import sys

import people
import ringside
import seen
import sessions
import yard

crowd = people.run(sys.argv[1])
place = yard.run(crowd)
booked = sessions.run(crowd, place)
ridden = ringside.run(crowd, booked)
seen.run(crowd, place, booked, ridden)
