"""Pages of known problems."""

import pytest
from django.urls import reverse

from shopapp.fleet.known_queries import notes_of
from shopapp.fleet.models import KnownMove, KnownProblem
from shopapp.fleet.services.known import take_in

LIST = "fleet:known_list"


@pytest.mark.parametrize("count", [1, 3])
@pytest.mark.parametrize(("page", "queries"), [(LIST, 8), ("fleet:loose", 9)])
def test_lists_take_the_same_queries_at_any_length(
    fleet, client_for, manager, count, page, queries, django_assert_num_queries
):
    for number in range(count):
        fleet.known(fleet.note(), title=f"Fault {number}")
        fleet.note()
    client = client_for(manager)
    with django_assert_num_queries(queries):
        assert client.get(reverse(page)).status_code == 200


@pytest.mark.parametrize("count", [1, 3])
def test_a_known_problems_page_takes_the_same_queries_at_any_length(
    fleet, client_for, manager, count, django_assert_num_queries
):
    known = fleet.known(*(fleet.note() for _ in range(count)))
    client = client_for(manager)
    with django_assert_num_queries(12):
        page = client.get(reverse("fleet:known", args=[known.pk]))
    assert page.context["boats"] == count


def test_the_notes_page_proposes_and_a_person_confirms(fleet, client_for, technician):
    known = fleet.known(fleet.note())
    note = fleet.note()
    client = client_for(technician)
    page = client.get(reverse("fleet:likeness", args=[note.pk]))
    assert "It is this one" in page.text
    assert "the same was seen" in page.text
    client.post(reverse("fleet:answer", args=[note.pk]), {"known": known.pk, "said": "yes"})
    assert note in notes_of(known)
    assert "Counted to" in client.get(reverse("fleet:likeness", args=[note.pk])).text
    client.post(reverse("fleet:answer", args=[note.pk]), {"known": known.pk, "said": "out"})
    assert note not in notes_of(known)


def test_a_person_says_no(fleet, client_for, technician):
    known = fleet.known(fleet.note())
    note = fleet.note()
    address = reverse("fleet:answer", args=[note.pk])
    client_for(technician).post(address, {"known": known.pk, "said": "no"})
    assert known.not_alike.get().problem == note


def test_notes_that_look_alike_are_gathered_in_one_press(fleet, client_for, technician):
    first, second, third = fleet.note(), fleet.note(), fleet.note()
    client = client_for(technician)
    address = reverse("fleet:make", args=[first.pk])
    page = client.get(address)
    assert page.text.count("checked") == 2
    facts = {"title": "Reboots at start", "symptom": "reboots", "model": fleet.display.pk}
    client.post(address, facts | {"problems": [second.pk]})
    known = KnownProblem.objects.get()
    assert set(notes_of(known)) == {first, second}
    assert third not in notes_of(known)


def test_a_title_left_out_is_asked_for_and_nothing_typed_is_lost(fleet, client_for, technician):
    note = fleet.note()
    address = reverse("fleet:make", args=[note.pk])
    page = client_for(technician).post(address, {"title": "", "cause": "Bent pin"})
    assert page.status_code == 422
    assert "Bent pin" in page.text
    assert not KnownProblem.objects.exists()


def test_merge_split_and_undo_by_page(fleet, client_for, manager):
    first, second = fleet.note(), fleet.note()
    one, other = fleet.known(first), fleet.known(second, title="The other")
    client = client_for(manager)
    client.post(reverse("fleet:known_merge", args=[one.pk]), {"into": other.pk})
    assert set(notes_of(other)) == {first, second}
    move = KnownMove.objects.filter(act="merged").get()
    client.post(reverse("fleet:known_undo", args=[other.pk, move.pk]))
    assert set(notes_of(one)) == {first}
    client.post(
        reverse("fleet:known_split", args=[other.pk]),
        {"title": "Third", "symptom": "reboots", "problems": [second.pk]},
    )
    assert notes_of(KnownProblem.objects.get(title="Third")).get() == second


def test_a_merge_with_itself_says_so(fleet, client_for, manager):
    known = fleet.known(fleet.note())
    page = client_for(manager).post(
        reverse("fleet:known_merge", args=[known.pk]), {"into": known.pk}
    )
    assert page.status_code == 422
    assert "cannot be merged with itself" in page.text


def test_the_list_finds_by_words_symptom_cause_and_state(fleet, client_for, manager):
    fleet.known(fleet.note(), title="Sags", cause="thin feed")
    fleet.known(fleet.note(), title="Leaks", symptom="water")
    client = client_for(manager)
    for asked, there in [
        ({"q": "sags"}, ["Sags"]),
        ({"symptom": "water"}, ["Leaks"]),
        ({"cause": "yes"}, ["Sags"]),
        ({"cause": "no"}, ["Leaks"]),
        ({"state": "merged"}, []),
    ]:
        page = client.get(reverse(LIST), asked).context["page"]
        assert [row.title for row in page] == there


@pytest.mark.parametrize("name", ["known", "known_edit", "known_split"])
def test_another_shops_known_problem_is_not_there(fleet, client_for, stranger, name):
    known = fleet.known(fleet.note())
    assert client_for(stranger).get(reverse(f"fleet:{name}", args=[known.pk])).status_code == 404


def test_another_shops_note_cannot_be_gathered(fleet, client_for, stranger):
    note = fleet.note()
    client = client_for(stranger)
    assert client.get(reverse("fleet:likeness", args=[note.pk])).status_code == 404
    assert client.get(reverse("fleet:make", args=[note.pk])).status_code == 404


def test_roles_bound_what_is_done(fleet, client_for, technician, parts_person, writer):
    known = fleet.known(fleet.note())
    take_in(problem=fleet.note(), known=known, by=technician)
    merge = reverse("fleet:known_merge", args=[known.pk])
    assert client_for(technician).post(merge, {"into": known.pk}).status_code == 403
    assert client_for(writer).post(merge, {"into": known.pk}).status_code == 403
    assert client_for(parts_person).get(reverse(LIST)).status_code == 403
    note = reverse("fleet:likeness", args=[fleet.note().pk])
    assert client_for(parts_person).get(note).status_code == 403
