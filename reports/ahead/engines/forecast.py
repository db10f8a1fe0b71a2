"""When all will be back: what goes on is worked off, new faults come, and it is played many times.

What cannot be read from records (how many returns the crews really do in a week, how long a
station waits until it can be worked on, in which order they are taken) is found by playing the
last year with the faults that really came: values that bring about what was seen are kept, and
each play of the future takes one of them. So what is not known for sure is in the bands.

Source: approximate Bayesian computation by rejection, from memory; shapes and ranges that are
tried are our own. `tests/bench/bench_forecast.py` holds the bands against simulated companies.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from reports.ahead.engines.past import MONTH, YEARS_DIFFER, Past
from reports.ahead.engines.queue import NEVER, WEEK, Played, Queue, play
from sites.kernel.lazily import np

if TYPE_CHECKING:
    Floats = np.ndarray

# Each play takes one of the kept; cells are plays times stations, to stay within memory.
PLAYS, TRIED, KEPT, MOST_CELLS, LEAST_PLAYS = 400, 600, 60, 2_000_000, 60
LEARN_DAYS, LEAST_LEARN_DAYS = 365.0, 90.0
LEAST_RETURNED = 5
# Logarithms of work and of waits vary so much from station to station. Our own choice.
WORK_VARIES, WAITS_VARY = 0.6, 1.0
CREWS_TRIED, WAITS_TRIED, DISORDER_TRIED = (0.6, 3.0), (2.0, 150.0), (10.0, 1500.0)
LOW, HIGH = 5, 95


@dataclass(frozen=True)
class Learned:
    """Values that brought about what was seen: returns a week, days of waiting, days of disorder.

    Each is an array of as many. Disorder is by how many days the order of turns is off from the
    longest first.
    """

    returns: "Floats"
    waits: "Floats"
    disorder: "Floats"

    def drawn(self, plays: int, rng: "np.random.Generator") -> "Learned":
        """Return one of them for each play."""
        pick = rng.integers(len(self.returns), size=plays)
        return Learned(self.returns[pick], self.waits[pick], self.disorder[pick])


@dataclass(frozen=True)
class Known:
    """What is known of the stations that are off, in the order in which they are in the past.

    `work` is in ordinary returns; `worth` is what a return saves, NaN where not known. `answers`
    are days that clients took, `asked` the share of stations for which one is asked.
    """

    work: "Floats"
    worth: "Floats"
    answers: "Floats"
    asked: float


@dataclass(frozen=True)
class Change:
    """What would be different: more crews, faster answers, the order of what is worth most."""

    more_returns: float = 1.0
    answers: float = 1.0
    by_worth: bool = False


AS_NOW = Change()


def learn(past: Past, rng: "np.random.Generator") -> Learned | None:
    """Find what goes with the last year; None where too little was seen to say."""
    days = min(LEARN_DAYS, -past.since)
    back = past.returned(days)
    if days < LEAST_LEARN_DAYS or back < LEAST_RETURNED:
        return None
    usual = back / (days / WEEK)
    seen = past.back_on > -days
    stations = int(seen.sum())
    tries = int(np.clip(2 * MOST_CELLS // max(stations, 1), 2 * KEPT, TRIED))
    tried = Learned(
        usual * _log_uniform(CREWS_TRIED, tries, rng),
        _log_uniform(WAITS_TRIED, tries, rng),
        _log_uniform(DISORDER_TRIED, tries, rng),
    )
    weeks = int(days // WEEK)
    start = -WEEK * weeks
    queue = _waiting(past.off_on[seen], past.place[seen], tried, rng)
    played = play(queue, tried.returns, start=start, weeks=weeks)
    far = np.zeros(tries)
    for day in np.arange(start + 4 * WEEK, 1.0, 4 * WEEK):
        off, old = past.off(day), past.old(day)
        far += (played.off(day) - off) ** 2 / (off + 4.0)
        far += (played.old(day) - old) ** 2 / (old + 4.0)
    best = np.argsort(far, kind="stable")[:KEPT]
    return Learned(tried.returns[best], tried.waits[best], tried.disorder[best])


def _log_uniform(ends: tuple[float, float], n: int, rng: "np.random.Generator") -> "Floats":
    return np.exp(rng.uniform(np.log(ends[0]), np.log(ends[1]), n))


def _waiting(
    off_on: "Floats", place: "Floats", values: Learned, rng: "np.random.Generator"
) -> Queue:
    """Return stations that went off on these days, with waits, work and turns drawn by play."""
    plays, stations = len(values.returns), off_on.shape[-1]
    shape = (plays, stations)
    off = np.broadcast_to(off_on, shape)
    waits = values.waits[:, None] * np.exp(WAITS_VARY * rng.standard_normal(shape))
    work = np.exp(WORK_VARIES * rng.standard_normal(shape) - WORK_VARIES**2 / 2)
    turn = off + values.disorder[:, None] * rng.standard_normal(shape)
    return Queue(off, off + waits, work, turn, np.broadcast_to(place, shape))


@dataclass(frozen=True)
class Ahead:
    """All plays of the coming days."""

    played: Played
    weeks: int

    def band(self, day: float) -> tuple[float, ...]:
        """Return the 5, 25, 50, 75 and 95 % points of how many are off by then."""
        return tuple(np.percentile(self.played.off(day), [LOW, 25, 50, 75, HIGH]).tolist())

    def chance_at_most(
        self, day: float, most: float, place: int | None = None, *, widened: float = 1.0
    ) -> float:
        """Return in which share of plays at most so many are off by then.

        Args:
            widened: by which factor bands are widened around their middle.
        """
        off = self.played.off(day, place)
        middle = float(np.median(off))
        return float((middle + widened * (off - middle) <= most + 1e-9).mean())

    def none_old_by(self, share: float = 0.9) -> float | None:
        """Return the first day by which in this share of plays none has been off over a year.

        It is the first on which none is, not the last on which one was; None where it is not
        reached.
        """
        days = np.arange(self.weeks + 1) * WEEK
        none = np.array([self.played.old(day) == 0 for day in days])
        reached = np.logical_or.accumulate(none, axis=0).mean(1)
        at = np.flatnonzero(reached >= share - 1e-9)
        return float(days[at[0]]) if len(at) else None


def look_ahead(
    past: Past,
    learned: Learned,
    *,
    weeks: int,
    seed: int,
    known: Known | None = None,
    change: Change = AS_NOW,
) -> Ahead:
    """Play the coming weeks. With the same seed, changes are played against the same faults."""
    coming = np.random.default_rng([seed, 1])
    rest = np.random.default_rng([seed, 2])
    expected = int(past.open.sum() + weeks / 52 * sum(_yearly(past)))
    plays = int(np.clip(MOST_CELLS // max(expected, 1), LEAST_PLAYS, PLAYS))
    values = learned.drawn(plays, rest)
    now = _waiting(past.off_on[past.open], past.place[past.open], values, rest)
    off_on, place = _arrivals(past, weeks, plays, coming)
    later = _waiting(off_on, place, values, rest)
    later = replace(later, place=place)
    worth = None
    if known is not None:
        now, later, worth = _with_known(now, later, known, change, rest)
    whole = now.joined(later)
    if change.by_worth and worth is not None:
        whole = replace(whole, turn=-worth / np.maximum(whole.work, 1e-9))
    returns = values.returns * change.more_returns
    return Ahead(play(whole, returns, start=0.0, weeks=weeks), weeks)


def _yearly(past: Past) -> list[float]:
    """Return how many stations go off in each month of an ordinary year."""
    shape, years = past.rates
    sizes = [len(each) for each in past.events]
    size = sum(sizes) / len(sizes) if sizes else 1.0
    return list((shape / years * size).tolist())


def _arrivals(
    past: Past, weeks: int, plays: int, rng: "np.random.Generator"
) -> tuple["Floats", "Floats"]:
    """Return on which days new stations go off, and where: events of the past, drawn again."""
    shape, years = past.rates
    months = past.month_ahead((np.arange(weeks) + 0.5) * WEEK)
    found, places = [], []
    sizes = np.array([len(each) for each in past.events] or [1])
    events = past.events or [np.zeros(1, int)]
    for _play in range(plays):
        # Events in a month of a year; a week is its share of a month.
        rates = rng.gamma(shape, 1 / years) * np.exp(YEARS_DIFFER * rng.standard_normal())
        counts = rng.poisson(rates[months] * WEEK / MONTH)
        start = np.repeat(np.arange(weeks) * WEEK, counts)
        start = start + rng.uniform(0, WEEK, len(start))
        which = rng.integers(len(events), size=len(start))
        found.append(np.repeat(start, sizes[which]))
        places.append(np.concatenate([events[n] for n in which]) if len(which) else np.zeros(0))
    most = max(len(each) for each in found)
    off_on = np.full((plays, most), NEVER)
    place = np.full((plays, most), -1)
    for row, (days, where) in enumerate(zip(found, places, strict=True)):
        off_on[row, : len(days)], place[row, : len(days)] = days, where
    return off_on, place


def _with_known(
    now: Queue, later: Queue, known: Known, change: Change, rng: "np.random.Generator"
) -> tuple[Queue, Queue, "Floats"]:
    """Give stations the work and worth that are known; those to come are like those that are."""
    sizes = [now.off_on.shape[1], later.off_on.shape[1]]
    picks = rng.integers(max(len(known.work), 1), size=later.off_on.shape)
    queues, worths = [], []
    typical = np.nanmedian(known.worth) if np.isfinite(known.worth).any() else 1.0
    for queue, pick in ((now, np.arange(sizes[0])), (later, picks)):
        work, worth = queue.work, np.full(queue.work.shape, typical)
        if len(known.work):
            work = queue.work * known.work[pick]
            worth = np.broadcast_to(np.nan_to_num(known.worth[pick], nan=typical), work.shape)
        ready = queue.ready_on
        if len(known.answers) and change.answers != 1.0:
            asked = rng.random(ready.shape) < known.asked
            days = known.answers[rng.integers(len(known.answers), size=ready.shape)]
            saved = np.where(asked, (1 - change.answers) * days, 0.0)
            ready = np.maximum(ready - saved, queue.off_on)
        queues.append(replace(queue, work=work, ready_on=ready))
        worths.append(worth)
    return queues[0], queues[1], np.concatenate(worths, axis=1)
