"""Jobs: visits that are planned, assigned, made and written down."""

from faults.work.services.assigning import assign_job, lock_job, move_job, unassign_job, unlock_job
from faults.work.services.doing import (
    finish_job,
    hold_job,
    load_vehicle,
    release_job,
    reopen_job,
    start_job,
    take_back_start,
)
from faults.work.services.planning import (
    bring_job_back,
    change_job,
    join_part,
    plan_job,
    split_job,
    withdraw_job,
)
from faults.work.services.told import JobFacts, LineFacts, UnableToPlan, UnableToSend, UnableToWork

__all__ = [
    "JobFacts",
    "LineFacts",
    "UnableToPlan",
    "UnableToSend",
    "UnableToWork",
    "assign_job",
    "bring_job_back",
    "change_job",
    "finish_job",
    "hold_job",
    "join_part",
    "load_vehicle",
    "lock_job",
    "move_job",
    "plan_job",
    "release_job",
    "reopen_job",
    "split_job",
    "start_job",
    "take_back_start",
    "unassign_job",
    "unlock_job",
    "withdraw_job",
]
