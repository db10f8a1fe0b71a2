"""What each event of this app sets off in other rooms, in order: the whole list."""

from faults.events import Follows, StageMoved
from faults.locating.services.ending import end_searches_of

FOLLOWS: Follows = {
    # A search ends when its fault is found, given up or withdrawn.
    StageMoved: (end_searches_of,),
}
