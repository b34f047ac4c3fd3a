"""The demo's tablets leave entries, a clash to decide and a change order asked for."""

from shopapp.demo.tablet import make_tablet
from shopapp.tablet.models import Clash, Entry


def test_the_demo_has_something_of_each(works, second):
    make_tablet(shop=works.shop, people={"tobin": works.technician, "iris": second})
    assert set(Entry.objects.values_list("outcome", flat=True)) == {"taken", "clash"}
    assert Clash.objects.filter(chosen="").count() == 1
    assert works.job.boat_facts.filter(target="ask:demo").exists()
