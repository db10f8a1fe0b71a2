"""Before and while a hole is open: how deep, what is around it, and what was answered to what."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.models import Job, SafetyAnswer
from faults.notices.services.gate import judge_job
from faults.notices.services.words import hand_dug_words
from faults.work.engines.safety import (
    OURS,
    PRIVATE,
    RULES,
    PrivateLine,
    Prompt,
    ProtectiveSystem,
    Situation,
    private_said,
    prompts,
)
from faults.work.services.rules import refuse_depth, refuse_unless_open
from faults.work.services.told import UnableToWork, facts_of
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import verb
from sites.models import User

LONGEST_ANSWER = 200

PROMPT_WORDS = {
    Prompt.UTILITIES_FOUND: gettext_lazy(
        "Where do the marked utilities lie? Their estimated places are found before the ground is "
        "opened, the exact ones by safe means when you come near."
    ),
    Prompt.PRIVATE_LIGHTS: gettext_lazy("Private lines, which no utility marks: lights?"),
    Prompt.PRIVATE_POOL: gettext_lazy("Private lines, which no utility marks: pool?"),
    Prompt.PRIVATE_GAS: gettext_lazy("Private lines, which no utility marks: gas to grills?"),
    Prompt.PRIVATE_FIBRE: gettext_lazy("Private lines, which no utility marks: site fibre?"),
    Prompt.SPOIL_BACK: gettext_lazy("Spoil and gear at least 2 ft from the edge?"),
    Prompt.EGRESS: gettext_lazy(
        "A ladder, ramp or stairs within 25 ft of everybody, 3 ft above the edge?"
    ),
    Prompt.AIR_TESTED: gettext_lazy(
        "Could the air be bad? Tested before anybody goes in, at least 19.5 % oxygen?"
    ),
    Prompt.PROTECTIVE_SYSTEM: gettext_lazy("Which protective system keeps the sides from falling?"),
    Prompt.COMPETENT_PERSON: gettext_lazy(
        "Which competent person looks at it before work each day, and after rain?"
    ),
    Prompt.MAIN_SHUT: gettext_lazy("Is the main line under pressure shut, or held in place?"),
    Prompt.HAND_TOOLS: gettext_lazy(
        "In the tolerance zone: hand tools or other means that do no harm only?"
    ),
    Prompt.WATER_OUT: gettext_lazy("How is standing water kept out? Nobody works in it."),
    Prompt.TRAFFIC_GUARDED: gettext_lazy("What keeps traffic away, and who wears bright vests?"),
    Prompt.WATER_REST_SHADE: gettext_lazy("Where are water, rest and shade?"),
}
SITUATION_WORDS = {
    Situation.PRESSURISED_MAIN_NEAR: gettext_lazy("a main line under pressure near"),
    Situation.IN_TOLERANCE_ZONE: gettext_lazy("within the tolerance zone of a utility"),
    Situation.STANDING_WATER: gettext_lazy("standing water"),
    Situation.TRAFFIC: gettext_lazy("traffic"),
    Situation.HEAT: gettext_lazy("heat"),
    Situation.CAVE_IN_SIGNS: gettext_lazy("signs that the sides may fall"),
}
SYSTEM_WORDS = {
    ProtectiveSystem.SLOPED: gettext_lazy("sloped or benched"),
    ProtectiveSystem.SHORED: gettext_lazy("shored"),
    ProtectiveSystem.SHIELDED: gettext_lazy("shielded"),
    ProtectiveSystem.STABLE_ROCK: gettext_lazy("stable rock: none needed"),
}
PRIVATE_WORDS = {
    PrivateLine.MARKED: gettext_lazy("marked by"),
    PrivateLine.NONE_THERE: gettext_lazy("none there, says"),
    PrivateLine.WAIVED: gettext_lazy("not marked; the dig is let go by"),
}


@dataclass(frozen=True)
class PromptLine:
    """One prompt of a dig with its rule and what was answered."""

    prompt: Prompt
    answer: SafetyAnswer | None

    @property
    def words(self) -> str:
        """The question."""
        return str(PROMPT_WORDS[self.prompt])

    @property
    def source(self) -> str:
        """The rule that it comes from, and whether its letter was seen."""
        rule = RULES[self.prompt]
        if rule.source == OURS:
            return _("our own practice, no source")
        return _("%s (letter from memory)") % rule.source if rule.is_from_memory else rule.source

    @property
    def is_required(self) -> bool:
        """Whether the job cannot start or be finished without an answer."""
        return RULES[self.prompt].is_required

    @property
    def said(self) -> str:
        """The answer in the reader's language."""
        if self.answer is None:
            return ""
        if self.prompt in PRIVATE and (said := private_said(self.answer.answer)) is not None:
            return f"{PRIVATE_WORDS[said[0]]} {said[1]}"
        words = {system.value: str(word) for system, word in SYSTEM_WORDS.items()}
        return words.get(self.answer.answer, self.answer.answer)


def hand_dug_of(job: Job, *, at: datetime) -> str:
    """Return how near to a mark only hand tools dig, by the rule of the job's ticket or region."""
    return hand_dug_words(judge_job(job=job, at=at).rule, job.property)


def situations_of(job: Job) -> list[Situation]:
    """Return what is around the hole; a word that is no longer known is left out."""
    return list(facts_of(job).situations)


def situations_in_words(job: Job) -> list[str]:
    """Return what is around the hole, in the reader's language."""
    return [str(SITUATION_WORDS[situation]) for situation in situations_of(job)]


def prompts_of(job: Job) -> list[Prompt]:
    """Return what must be thought of at this depth and place; none while no depth is known."""
    if not job.digs() or job.planned_depth_in is None:
        return []
    return prompts(job.planned_depth_in, situations_of(job))


def answers_of(job: Job) -> dict[Prompt, str]:
    """Return the words that were given to each prompt."""
    known = {prompt.value for prompt in Prompt}
    rows = job.safety.order_by("pk").values_list("prompt", "answer")
    return {Prompt(prompt): answer for prompt, answer in rows if prompt in known}


def prompt_lines(job: Job, answers: Sequence[SafetyAnswer]) -> list[PromptLine]:
    """Return each prompt of the job with its answer."""
    by_prompt = {answer.prompt: answer for answer in answers}
    return [PromptLine(prompt, by_prompt.get(prompt.value)) for prompt in prompts_of(job)]


def required_words(open_ones: Collection[Prompt]) -> str:
    """Say which prompts keep a job from starting or from being finished."""
    asked = " ".join(str(PROMPT_WORDS[prompt]) for prompt in open_ones)
    return _("Answer this under “Before the hole is dug” first: %s") % asked


@verb(
    name="answer what a dig must think of",
    action=Action.WORK_JOBS,
    guard="the job digs and is open; a depth above 0 and at most 20 ft; the prompts are this "
    "depth's; a protective system of the list; of private lines what is known and a name",
    undo="answer it again; the old words stand in its history",
)
def answer_safety(
    *,
    job: Job,
    depth_in: float,
    situations: Collection[Situation],
    answers: Mapping[Prompt, str],
    by: User,
    at: datetime,
) -> None:
    """Keep how deep the hole is, what is around it, and the words to each prompt.

    An answer without words is left as it was.
    """
    refuse_unless_open(job, UnableToWork)
    if not job.digs():
        raise UnableToWork(_("Nothing is dug on this job."))
    refuse_depth(depth_in)
    _keep_depth(job, depth_in, situations)
    due = prompts_of(job)
    for prompt, words in answers.items():
        if prompt in due and words.strip():
            _keep_answer(job, prompt, words.strip()[:LONGEST_ANSWER], by, at)


def _keep_depth(job: Job, depth_in: float, situations: Collection[Situation]) -> None:
    around = [each.value for each in Situation if each in situations]
    if (job.planned_depth_in, job.situations) != (depth_in, around):
        job.planned_depth_in, job.situations = depth_in, around
        job.save()


def _keep_answer(job: Job, prompt: Prompt, words: str, by: User, at: datetime) -> None:
    if prompt is Prompt.PROTECTIVE_SYSTEM and words not in list(ProtectiveSystem):
        raise UnableToWork(
            _("Name the protective system: %s.")
            % ", ".join(str(word) for word in SYSTEM_WORDS.values()),
            field=field_of(prompt),
        )
    if prompt in PRIVATE and private_said(words) is None:
        raise UnableToWork(
            _("Say what is known of these lines, and who marked them or lets the dig go."),
            field=field_of(prompt) if words.startswith(":") else f"{field_of(prompt)}_by",
        )
    row = job.safety.filter(prompt=prompt.value).first()
    if row is None:
        SafetyAnswer.objects.create(job=job, prompt=prompt.value, answer=words, by=by, at=at)
    elif row.answer != words:
        row.answer, row.by, row.at = words, by, at
        row.save()


def field_of(prompt: Prompt) -> str:
    """Return the name of the form's field for a prompt."""
    return "answer_" + prompt.name.lower()
