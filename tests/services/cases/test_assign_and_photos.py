"""Assigning a fault, what a tracer sees, and photos that are hidden and never deleted."""

from datetime import timedelta

import pytest

from faults.access import breaks_for, fault_photos_for, faults_for, roles_on, tracers_on
from faults.cases.engines.stages import Stage
from faults.cases.services.assign import (
    UnableToAssign,
    UnableToEndAssignment,
    assign_fault,
    end_assignment,
)
from faults.cases.services.photos import (
    MOST_SHOWN,
    UnableToAddFaultPhoto,
    add_fault_photo,
    hide_fault_photo,
    show_fault_photo,
)
from faults.models import FaultPhoto
from sites.kernel.engines.roles import Role
from sites.models import User
from sites.register.services.photos import UnableToHidePhoto
from tests import make
from tests.services.cases.scene import MAY, TODAY, Scene, move, reported

pytestmark = pytest.mark.django_db


@pytest.fixture
def tracer(scene: Scene) -> User:
    """A subcontracted tracer of the scene's property."""
    return make.user(Role.TRACER, property=scene.place)


def test_a_tracer_sees_a_fault_while_it_is_assigned(scene: Scene, tracer: User) -> None:
    first, second = (reported(scene, station) for station in scene.stations)
    assert not faults_for(tracer).exists()
    held = assign_fault(fault=first, who=tracer, from_on=TODAY)
    make.break_found(fault=second)
    assert list(faults_for(tracer)) == [first]
    assert not breaks_for(tracer).exists()
    end_assignment(assignment=held, on=TODAY)
    assert not faults_for(tracer).exists()


def test_a_fault_is_assigned_once_to_one_person(scene: Scene, tracer: User) -> None:
    fault = reported(scene)
    assign_fault(fault=fault, who=tracer, from_on=TODAY)
    with pytest.raises(UnableToAssign, match="assigned to this fault already"):
        assign_fault(fault=fault, who=tracer, from_on=TODAY)
    assign_fault(fault=fault, who=scene.technician, from_on=TODAY)
    assert fault.assignments.count() == 2


def test_a_fault_is_assigned_again_after_it_ended(scene: Scene, tracer: User) -> None:
    fault = reported(scene)
    end_assignment(assignment=assign_fault(fault=fault, who=tracer, from_on=MAY), on=TODAY)
    again = assign_fault(fault=fault, who=tracer, from_on=TODAY)
    assert (again.to_on, again.history.count()) == (None, 1)


def test_a_closed_fault_is_assigned_to_nobody(scene: Scene, tracer: User) -> None:
    fault = reported(scene)
    move(scene, fault, Stage.WITHDRAWN, why="runs")
    with pytest.raises(UnableToAssign, match="closed"):
        assign_fault(fault=fault, who=tracer, from_on=TODAY)


def test_only_the_technicians_and_tracers_of_the_property_are_offered(
    scene: Scene, tracer: User
) -> None:
    make.user(Role.TRACER, property=make.place())
    assert set(tracers_on(scene.place)) == {scene.technician, tracer}
    with pytest.raises(UnableToAssign, match="no technician or tracer"):
        assign_fault(fault=reported(scene), who=scene.owner, from_on=TODAY)


def test_an_assignment_ends_once_and_not_before_it_began(scene: Scene, tracer: User) -> None:
    begins = TODAY + timedelta(days=2)
    held = assign_fault(fault=reported(scene), who=tracer, from_on=begins)
    end_assignment(assignment=held, on=TODAY)
    assert held.to_on == begins
    with pytest.raises(UnableToEndAssignment):
        end_assignment(assignment=held, on=TODAY)


def test_roles_on_a_property_are_those_whose_grant_covers_it(scene: Scene, tracer: User) -> None:
    assert roles_on(scene.owner, scene.place) == {Role.OWNER}
    assert roles_on(tracer, scene.place) == {Role.TRACER}
    assert roles_on(tracer, make.place()) == set()


def test_a_hidden_photo_is_seen_by_those_who_may_show_it_again(scene: Scene) -> None:
    client = make.user(Role.CLIENT, client=scene.place.client)
    photo = make.fault_photo(fault=reported(scene))
    assert list(fault_photos_for(client)) == [photo]
    hide_fault_photo(photo=photo, today=TODAY)
    assert not fault_photos_for(client).exists()
    assert list(fault_photos_for(scene.technician)) == [photo]
    assert photo.file.storage.exists(photo.file.name)
    show_fault_photo(photo=photo)
    assert list(fault_photos_for(client)) == [photo]


def test_a_photo_is_hidden_once_and_shown_once(scene: Scene) -> None:
    photo = make.fault_photo(fault=reported(scene))
    with pytest.raises(UnableToHidePhoto, match="shown already"):
        show_fault_photo(photo=photo)
    hide_fault_photo(photo=photo, today=TODAY)
    with pytest.raises(UnableToHidePhoto, match="hidden already"):
        hide_fault_photo(photo=photo, today=TODAY)
    assert photo.history.count() == 2


def test_a_photo_of_another_faults_break_is_refused(scene: Scene) -> None:
    with pytest.raises(UnableToAddFaultPhoto, match="another fault"):
        make.fault_photo(fault=reported(scene), of_break=make.break_found())


def test_a_fault_shows_a_bounded_number_of_photos(scene: Scene) -> None:
    fault = reported(scene)
    kept = {"fault": fault, "width_px": 2, "height_px": 2, "added_at": make.NOW}
    FaultPhoto.objects.bulk_create([FaultPhoto(**kept) for _ in range(MOST_SHOWN)])
    with pytest.raises(UnableToAddFaultPhoto, match="60 photos"):
        add_fault_photo(fault=fault, photo=make.prepared_photo(), by=scene.owner, at=make.NOW)
