"""Workers killed with -9 while they send letters: none is lost from sight, none goes out twice."""

import json
from collections import Counter
from email import message_from_bytes
from pathlib import Path

from tests.fault.desk import Desk, wait_until

LETTERS = 40
KILLS = 8
WRITE = f"""
import json
from shopapp.accounts.models import Shop
from shopapp.jobs.models import Document, Letter
from shopapp.jobs.services.letters import write_letter
Document.objects.update(row_state="failed", reason="Not asked about here.")
Letter.objects.all().delete()
shop = Shop.objects.get()
for number in range({LETTERS}):
    write_letter(shop=shop, about="quote", once=f"fault-{{number}}", to="odile@example.com",
                 subject=f"Letter {{number}}", body="Dear Odile")
print(json.dumps("written"))
"""
# Each letter into a file of its own; the slow one gives the killer time to come in between.
WORK = """
import django; django.setup()
import time
from django.conf import settings
from django.core.mail.backends import filebased
settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
settings.EMAIL_FILE_PATH = {folder!r}
real = filebased.EmailBackend.write_message
def slowly(self, message):
    time.sleep(0.02)
    real(self, message)
    time.sleep(0.02)
filebased.EmailBackend.write_message = slowly
from django.core.management import call_command
call_command("work", idle_seconds=0.05)
"""
STATES = """
import json
from shopapp.jobs.models import Letter
rows = Letter.objects.values_list("message_id", "row_state", "reason")
print(json.dumps(list(rows)))
"""


def gone_out(folder: Path) -> Counter[str]:
    """How often each message number lies in the folder."""
    found: Counter[str] = Counter()
    for path in folder.glob("*"):
        for part in path.read_bytes().split(b"-" * 79):
            number = message_from_bytes(part.strip())["Message-ID"]
            if number:
                found[number] += 1
    return found


def settled(desk: Desk) -> bool:
    return all(state in {"ready", "failed"} for _, state, _ in desk.tell(STATES))


def test_letters_under_a_killer(desk: Desk, tmp_path: Path) -> None:
    folder = tmp_path / "sent"
    folder.mkdir()
    assert desk.tell(WRITE) == "written"
    script = WORK.format(folder=str(folder))
    for kill in range(1, KILLS + 1):
        worker = desk.start("-c", script)
        goal = kill * 3
        assert wait_until(lambda goal=goal: sum(gone_out(folder).values()) >= goal, seconds=300)
        desk.kill(worker)
    desk.start("-c", script)
    assert wait_until(lambda: settled(desk), seconds=400)

    sent, rows = gone_out(folder), desk.tell(STATES)
    # What no worker can know is said to a person; anything else that is not there is lost.
    told = {number for number, state, why in rows if state == "failed" and "may have" in why}
    lost = [number for number, *_ in rows if not sent[number] and number not in told]
    doubled = [number for number, count in sent.items() if count > 1]
    print(
        f"\nworkers killed {KILLS} times over {LETTERS} letters, {len(told)} left to a person: "
        f"lost {len(lost)}, doubled {len(doubled)}"
    )
    assert (lost, doubled) == ([], []), json.dumps(rows)
