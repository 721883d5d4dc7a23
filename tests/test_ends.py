"""What one side of a connection is: id, words, sex, thread, seat, how it moves, and what is refused."""

import pytest
from chain_oracle import can_be_set, sixteenths, turns

from fittings.ends import End, UnknownEnd, all_ends, end, end_by_id, families, family, forms, size_row, sizes

# family keys in the order of the tables (the fixed names of JSON and job files)
KEYS = ("orb", "jic", "orfs", "npt", "npsm", "bspp", "bsp60", "bspt", "iso6149", "iso9974", "cone24", "jis30", "metric30", "sae45", "invflare",
        "code61", "code62", "iso7241a", "iso7241b", "iso16028", "hose")
# dashes of SAE J1926 and J514, in sixteenths of an inch
DASHES = ("-2", "-3", "-4", "-5", "-6", "-8", "-10", "-12", "-14", "-16", "-20", "-24", "-32")


def test_families_sizes_and_forms_stand_in_order() -> None:
    assert families() == KEYS
    assert sizes("orb") == sizes("jic") == DASHES
    assert sizes("npt") == ("1/16", "1/8", "1/4", "3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2")
    assert forms("orb") == ("port", "stud", "stud-adj")
    assert forms("jic") == ("male", "swivel", "tube-nut", "swivel-dual")
    assert sizes("nothing") == forms("nothing") == ()


@pytest.mark.parametrize(("of", "id_", "sex", "side", "thread", "moves", "say"), [
    # threads: SAE J1926, J514, J1453; ASME B1.20.1; ISO 228-1, 6149, 8434-1
    (End("orb", "-6", "port"), "orb-6-port", "female", "internal", "9/16-18", "rigid", "ORB -6 port"),
    (End("orb", "-6", "stud-adj"), "orb-6-stud-adj", "male", "external", "9/16-18", "sets", "ORB -6 male stud, adjustable"),
    (End("jic", "-8", "swivel"), "jic-8-swivel", "female", "internal", "3/4-16", "turns", "JIC -8 female swivel"),
    (End("orfs", "-8", "male"), "orfs-8-male", "male", "external", "13/16-16", "rigid", "ORFS -8 male"),
    (End("npt", "1/2", "male"), "npt-1/2-male", "male", "external", "1/2-14 NPT", "winds", "NPT 1/2 male"),
    (End("bspp", "1/2", "port"), "bspp-1/2-port", "female", "internal", "G1/2", "rigid", "BSPP 1/2 port"),
    (End("iso6149", "M22x1.5", "port"), "iso6149-M22x1.5-port", "female", "internal", "M22x1.5", "rigid", "ISO 6149 M22x1.5 port"),
    (End("cone24", "15L", "swivel"), "cone24-15L-swivel", "female", "internal", "M22x1.5", "turns", "24° cone 15L female swivel"),
    (End("code61", "-16", "head"), "code61-16-head", "none", "none", "", "turns", "code 61 -16 flange head"),
    (End("iso7241a", "1/2", "tip"), "iso7241a-1/2-tip", "male", "none", "", "turns", "ISO 7241-A 1/2 coupler tip (male half)"),
    (End("hose", "-8", "bore"), "hose-8-bore", "none", "none", "", "crimps", "hose -8 bore"),
])
def test_what_an_end_is(of: End, id_: str, sex: str, side: str, thread: str, moves: str, say: str) -> None:
    assert (of.id, of.sex, of.side, of.thread, of.moves, of.say) == (id_, sex, side, thread, moves, say)
    assert end_by_id(id_) == of == end(*of)


@pytest.mark.parametrize(("of", "standard", "seat"), [
    (End("jic", "-6", "male"), "SAE J514 / ISO 8434-2", "a 37° cone nose"), (End("orb", "-6", "port"), "SAE J1926 / ISO 11926", "a chamfered mouth for an O-ring"),
    (End("npt", "1/2", "male"), "ASME B1.20.1 / B1.20.3", "a taper thread that seals on itself"),
])
def test_standard_and_seat(of: End, standard: str, seat: str) -> None:
    assert (of.standard, of.seat) == (standard, seat)


def test_nominal_size_and_movement_of_every_end() -> None:
    """Sixteenths from the size as written (a tube by its millimetres); what turns or can be set, by the trade's rule."""
    for each in all_ends():
        nominal = sixteenths(each.family, each.size)
        assert (each.nominal_16ths is None) == (nominal is None), each.id
        if nominal is not None:
            assert each.nominal_16ths == pytest.approx(float(nominal), abs=0.01), each.id
        assert (each.moves == "turns") == turns(each), each.id
        assert (each.moves != "rigid") == can_be_set(each), each.id


def test_every_end_is_found_by_its_id_and_no_two_share_one() -> None:
    found = all_ends()
    assert len({each.id for each in found}) == len({each.say for each in found}) == len(found) == 526
    for each in found:
        assert end_by_id(each.id) is end_by_id(each.id) == each
        assert "--" not in each.id


def test_very_light_cones_have_their_own_forms() -> None:
    """LL sizes are tube fittings only (a national standard for 24° cones): no other form is offered for them."""
    assert end("cone24", "6LL", "male").id == "cone24-6LL-male"
    assert {each.form for each in all_ends() if each.size == "6LL"} == {"male", "swivel", "tube-nut"}
    with pytest.raises(UnknownEnd) as caught:
        end("cone24", "6LL", "stud")
    assert str(caught.value) == "cone24 6LL stud: no such form; there is male, swivel, tube-nut"


@pytest.mark.parametrize(("ask", "asked", "text"), [
    (lambda: family("xyz"), "xyz", "xyz: no such family; there is orb, jic, orfs, npt, npsm, bspp, bsp60, bspt, iso6149, iso9974, cone24, jis30, metric30, "
     "sae45, invflare, code61, code62, iso7241a, iso7241b, iso16028, hose"),
    (lambda: size_row("orb", "-7"), "orb -7", "orb -7: ORB is not made in size -7; there is -2, -3, -4, -5, -6, -8, -10, -12, -14, -16, -20, -24, -32"),
    (lambda: end("orfs", "-14", "male"), "orfs -14", "orfs -14: ORFS is not made in size -14; there is -4, -6, -8, -10, -12, -16, -20, -24, -32"),
    (lambda: end("jic", "-6", "port"), "jic -6 port", "jic -6 port: no such form; there is male, swivel, tube-nut"),
    (lambda: end("jic", "-8", "port"), "jic -8 port", "jic -8 port: no such form; there is male, swivel, tube-nut, swivel-dual"),
    (lambda: end_by_id("orb--6-port"), "orb--6-port", "orb--6-port: no end has this id"),
])
def test_unknown_ends_say_what_there_is(ask, asked: str, text: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(UnknownEnd) as caught:
        ask()
    assert (caught.value.asked, str(caught.value)) == (asked, text)
