"""What is said over a shop counter, without an x and with more words than a part needs: each text with its whole answer.

What a counter hand would make of it, or ask back: common practice, no source. Threads and series from memory say so.
"""

import json

import pytest

from fittings.cli import run
from fittings.notation import Ambiguous, BadText, NotUnderstood, read_end, read_pair, read_part

MALE, STUD, SWIVEL = "say “swivel” if it is a nut that turns", "say “adjustable” if it has a locknut", "say “male” if it is the male"
STEEL = "and no part of an end: the ratings are those of steel; mate takes another material with --material"
HOLE, LONG = "say “port” if it is the hole", "is a length, and no part of an end: no part of our tables is known by its length"
FORM_E = "form E (its own elastomer ring) is a stud of ISO 1179-2 or ISO 9974-2"
PSI = "is a pressure, and no part of an end: join takes it with --psi"

WHAT_SEALS = ("What is the outside diameter of the tube, if there is one, and what seals: a 24° cone, a 30° flare, a ring in a chamfered mouth "
              "(ISO 6149) or a flat face (ISO 9974)?")

PARTS = [
    # (typed, shape, ends, what was taken)
    ("8 mj 8 mj", "", "jic-8-male jic-8-male", ""),
    ("8 mj 8 mj 90", "90", "jic-8-male jic-8-male", ""),
    ("8 mj mj 90", "90", "jic-8-male jic-8-male", ""),
    ("8 fjx 8 fjx", "", "jic-8-swivel jic-8-swivel", ""),
    ("8 mb 8 mb", "", "orb-8-stud orb-8-stud", f"taken as ORB -8 male stud; {STUD}"),
    ("1/2 mp 1/2 mp 90", "90", "npt-1/2-male npt-1/2-male", ""),
    ("jic 8 jic 8", "", "jic-8-male jic-8-male", f"taken as JIC -8 male; {MALE}"),
    ("jic 8 m/m", "straight", "jic-8-male jic-8-male", ""),
    ("jic 8 male male", "straight", "jic-8-male jic-8-male", ""),
    ("jic -8 mm", "straight", "jic-8-male jic-8-male", ""),
    ("f/f 1/2 npt", "straight", "npt-1/2-female npt-1/2-female", ""),
    ("1/2 npt m/f 90", "90", "npt-1/2-male npt-1/2-female", ""),
    ("m/m 3/8 bspp", "straight", "bsp60-3/8-male bsp60-3/8-male",
     "taken as BSP 60° cone 3/8 male, 60° cone; say “BSPP port” for two holes, “BSPP stud” for two studs"),
    ("ORB extension -8", "straight", "orb-8-stud orb-8-port", f"taken as ORB -8 male stud; {STUD}"),
    ("npt 1/2 extension", "straight", "npt-1/2-male npt-1/2-female", ""),
    # ISO 8434-1: a stud coupling is the body with the tube's male thread, whatever stands first
    *[(typed, "straight", f"{first} {second}", taken) for typed, first, second, taken in (
        ("stud coupling 12L G3/8", "cone24-12L-male", "bspp-3/8-stud", f"taken as 24° cone 12L male; {MALE}; taken as BSPP 3/8 male stud; {HOLE}"),
        ("12L G3/8 stud coupling", "cone24-12L-male", "bspp-3/8-stud", f"taken as 24° cone 12L male; {MALE}; taken as BSPP 3/8 male stud; {HOLE}"),
        ("stud coupling G3/8 12L", "bspp-3/8-stud", "cone24-12L-male", f"taken as BSPP 3/8 male stud; {HOLE}; taken as 24° cone 12L male; {MALE}"),
    )],
    # pipe nipples and extensions are sold by size and length
    ("extension NPT 1/2 x 1 inch long", "straight", "npt-1/2-male npt-1/2-female", f"taken as NPT 1/2 female; “1 inch long” {LONG}"),
    ("NPT nipple 1/2 x 2 in long", "straight", "npt-1/2-male npt-1/2-male", f"taken as NPT 1/2 male; “2 in long” {LONG}"),
    # a reducer
    ("-12 to -8 orb reducer", "straight", "orb-12-stud orb-8-port",
     "taken as ORB -8 port; a reducer is male at its larger end; name both genders if it is not"),
    ("-8 to -12 orb reducer", "straight", "orb-8-port orb-12-stud",
     "taken as ORB -8 port; a reducer is male at its larger end; name both genders if it is not"),
    ("orb 6 x 8 expander", "straight", "orb-6-stud orb-8-port",
     "taken as ORB -8 port; an expander is male at its smaller end; name both genders if it is not"),
    ("orb 12 x 8 male reducer", "straight", "orb-12-port orb-8-stud",
     f"taken as ORB -12 port; a reducer is male at its larger end; name both genders if it is not; taken as ORB -8 male stud; {STUD}"),
    ("orb 8 x 8 reducer", "straight", "orb-8-stud orb-8-port",
     "taken as ORB -8 port; a reducer is male at its larger end; name both genders if it is not"),
    ("reducer NPT 3/4 x 1/2", "straight", "npt-3/4-male npt-1/2-female",
     "taken as NPT 1/2 female; a reducer is male at its larger end; name both genders if it is not"),
    ("bell reducer 1/2 x 3/8 npt", "straight", "npt-1/2-female npt-3/8-female", ""),
    ("reducing union 12 x 8 jic", "straight", "jic-12-male jic-8-male", f"taken as JIC -12 male; {MALE}; taken as JIC -8 male; {MALE}"),
    ("jic swivel reducer -12 x -8", "straight", "jic-12-swivel jic-8-male",
     "taken as JIC -12 female swivel; a swivel reducer turns at its larger end; name both ends if it does not"),
    ("-8 x -12 jic swivel reducer", "straight", "jic-8-male jic-12-swivel",
     "taken as JIC -12 female swivel; a swivel reducer turns at its larger end; name both ends if it does not"),
    ("jic 12 swivel x 8 reducer", "straight", "jic-12-swivel jic-8-male", f"taken as JIC -8 male; {MALE}"),
    ("1 x 1/4 npt bushing", "bushing", "npt-1-male npt-1/4-female", ""),
    ("-4 x 1/2 npt bushing", "bushing", "npt-1/4-female npt-1/2-male",
     "taken as NPT 1/4 female; -4 is read in sixteenths of an inch"),
    # what is said at the last size goes for the others, save that one end of a reducer turns and not both
    ("-8 x -6 jic swivel", "", "jic-8-swivel jic-6-swivel", ""),
    ("reducing 12 x 8 jic swivel", "straight", "jic-12-male jic-8-swivel", f"taken as JIC -12 male; {MALE}"),
    ("1/2 x 3/8 npt male reducer", "straight", "npt-1/2-male npt-3/8-male", ""),
    # tees
    ("-8 jic union tee", "tee", "jic-8-male jic-8-male jic-8-male", f"taken as JIC -8 male; {MALE}"),
    ("10L equal tee", "tee", "cone24-10L-male cone24-10L-male cone24-10L-male", f"taken as 24° cone 10L male; {MALE}"),
    ("15L swivel tee", "tee", "cone24-15L-male cone24-15L-male cone24-15L-swivel",
     f"taken as 24° cone 15L male; {MALE}; taken as 24° cone 15L female swivel; one end of a swivel tee turns; "
     "for more of them name each, with an x between"),
    ("-8 jic swivel run tee", "tee-run", "jic-8-male jic-8-male jic-8-swivel", f"taken as JIC -8 male; {MALE}"),
    ("15L equal elbow", "90", "cone24-15L-male cone24-15L-male", f"taken as 24° cone 15L male; {MALE}"),
    # a tube and a stud, by their sizes alone
    ("15L - G1/2", "", "cone24-15L-male bspp-1/2-stud",
     f"taken as 24° cone 15L male; {MALE}; taken as BSPP 1/2 male stud; say “port” if it is the hole"),
    ("15L x G 1/2 ed", "", "cone24-15L-male bspp-1/2-stud",
     f"taken as 24° cone 15L male; {MALE}; taken as BSPP 1/2 male stud; {FORM_E}"),
    ("Einschraubverschraubung 15L G1/2", "straight", "cone24-15L-male bspp-1/2-stud",
     f"taken as 24° cone 15L male; {MALE}; taken as BSPP 1/2 male stud; say “port” if it is the hole"),
    ("15L Winkelverschraubung", "90", "cone24-15L-male cone24-15L-male", f"taken as 24° cone 15L male; {MALE}"),
    ("8 orb f x 8 npt m", "", "orb-8-port npt-1/2-male", "taken as NPT 1/2 male; -8 is read in sixteenths of an inch"),
    ("8 jic male x 2 npt male", "", "jic-8-male npt-2-male", ""),
    # caps and plugs
    ("plug m18x1.5 ed", "plug", "iso9974-M18x1.5-stud", f"taken as ISO 9974 M18x1.5 male stud; {FORM_E}"),
    ("1/2 npt square head plug", "plug", "npt-1/2-male", ""),
    ("tappo 1/2 npt", "plug", "npt-1/2-male", ""),
    ("Verschlussstopfen 1/2 npt", "plug", "npt-1/2-male", ""),
    # words beside the part
    ("1/2 npt plug 3000 psi", "plug", "npt-1/2-male", f"taken as NPT 1/2 male; “3000 psi” {PSI}"),
    ("jic 8 male x orb 8 male stainless", "", "jic-8-male orb-8-stud",
     f"taken as ORB -8 male stud; {STUD}; “stainless” is a material, {STEEL} stainless"),
    ("4 x 90 jic -8 swivel x orb -8 male", "90", "jic-8-swivel orb-8-stud-adj",
     "taken as JIC -8 female swivel; “4 x” is how many; taken as ORB -8 male stud, adjustable; studs of elbows and tees are adjustable"),
    ("8 x 6 jic", "", "jic-8-male jic-6-male", f"taken as JIC -8 male; {MALE}; taken as JIC -6 male; {MALE}"),
]


@pytest.mark.parametrize(("typed", "shape", "ends", "taken"), PARTS, ids=[each[0] for each in PARTS])
def test_parts(typed: str, shape: str, ends: str, taken: str) -> None:
    with pytest.raises(BadText):
        read_end(typed, place="any")  # a part is never read as one end
    read = read_part(typed, besides=True)
    assert (read.shape, " ".join(each.id for each in read.ends), read.taken) == (shape, ends, taken)


KIND = "is a kind of hose: what the hose itself holds is told by fittings size"

ENDS = [
    ("JIC -16 male 3000 psi", "jic-16-male", f"taken as JIC -16 male; “3000 psi” {PSI}"),
    ("JIC -16 male 210 bar", "jic-16-male", f"taken as JIC -16 male; “210 bar” {PSI}"),
    ("2SN hose -8 3000 psi", "hose-8-bore", f"taken as hose -8 bore; “3000 psi” {PSI}; “2SN” {KIND}"),
    # SAE J517: 100R4 and 100R17 count their bores in sixteenths; 100R5 and 100R14 do not (-8 is 13/32), and are not taken for -8
    ("hose R4 -16", "hose-16-bore", f"taken as hose -16 bore; “hose R4” {KIND}"),
    ("hose R17 -6", "hose-6-bore", f"taken as hose -6 bore; “hose R17” {KIND}"),
    ("100R17 -6", "hose-6-bore", f"taken as hose -6 bore; “100R17” {KIND}"),
    # SAE J518: code 61 is the series of 3000 psi, code 62 of 6000 psi
    ("-16 flange head 3000 psi", "code61-16-head", ""),
    ("6000 psi flange pad -16", "code62-16-pad", ""),
    ("code 62 -16 head 3000 psi", "code62-16-head", f"taken as code 62 -16 flange head; “3000 psi” {PSI}"),
    # a standard by its number alone; a thread and a steel
    ("M22x1.5 9974 port", "iso9974-M22x1.5-port", ""), ("6149 M22x1.5 stud", "iso6149-M22x1.5-stud", ""),
    ("BSPT 1/2 male 316", "bspt-1/2-male", f"taken as BSPT 1/2 male; “316” is a material, {STEEL} stainless"),
    ("NPT 3/8 male brass", "npt-3/8-male", f"taken as NPT 3/8 male; “brass” is a material, {STEEL} brass"),
    ("4 x jic -8 male", "jic-8-male", "taken as JIC -8 male; “4 x” is how many"),
    ("4 off jic 8 male", "jic-8-male", "taken as JIC -8 male; “4 off” is how many"),
    ("qty 12 jic 8 male", "jic-8-male", "taken as JIC -8 male; “qty 12” is how many"),
    ("jic 8 male each", "jic-8-male", ""),
    ("jic 8 fs", "jic-8-swivel", ""),
    ("3/8 bspp fixed female", "bspp-3/8-port", ""),
    ("15L cutting ring", "cone24-15L-tube-nut",
     "taken as 24° cone 15L tube nut with cutting ring; a cutting ring goes with a nut on a tube; say “male” or “swivel” if it is another end"),
    ("BSPP 1/2 male stud bonded seal", "bspp-1/2-stud", ""),
    ("3/8 gas femmina girevole", "bsp60-3/8-swivel", ""),
    ("1/2 B.S.P.T. maschio", "bspt-1/2-male", ""),
    ("DN12 mm hose", "hose-8-bore", "taken as hose -8 bore; DN12 is read as its bore"),
    ("15L M22x1.5", "cone24-15L-swivel", f"taken as 24° cone 15L female swivel; {SWIVEL}"),
    ("M36x1.5 metric 30 flare male", "metric30-M36x1.5-male", ""),
    ("JIC -8 swivel 90", "jic-8-swivel",
     "taken as JIC -8 female swivel; the shape belongs to the part, not to the end (join takes it with --shape-from 90 or --shape-to 90)"),
    ("JIC -8 swivel 45", "jic-8-swivel",
     "taken as JIC -8 female swivel; the shape belongs to the part, not to the end (join takes it with --shape-from 45 or --shape-to 45)"),
]


@pytest.mark.parametrize(("typed", "id_", "taken"), ENDS, ids=[each[0] for each in ENDS])
def test_ends(typed: str, id_: str, taken: str) -> None:
    read = read_end(typed, place="any")
    assert (read.end.id, read.taken) == (id_, taken)


TUBE_OR_THREAD = "Which is meant: the tube is 3/4, then it is -12, or the thread is 3/4-16, then it is -8?"
PARALLEL_OR_TAPER = "Parallel (BSPP, sealed with a washer or on a cone) or taper (BSPT)?"
FRENCH = ("What seals: a 24° cone, a 30° flare, a ring in a chamfered mouth (ISO 6149) or a flat face (ISO 9974)? "
          "The French 24° cones have this thread too (from memory), and our tables do not hold them")
WRENCH = "A wrench size does not name the thread: measure across the threads and count the pitch, then say for example “9/16-18 male”"

ASKED = [
    # (typed, what show says first, what it asks or advises)
    *[(typed, f"ambiguous: “{said}” can mean ORB -12 or ORB -8", TUBE_OR_THREAD) for typed, said in (
        ("female jic 8 swivel elbow 3/4 orb", "3/4 orb"), ("jic 12 male 3/4 orb", "male 3/4 orb"), ("3/4 orb jic 12 male", "3/4 orb"),
        ("jic 12 male x 3/4 orb", "3/4 orb"), ("3/4 orb x jic 12 male", "3/4 orb"))],
    ("12L - 1/4 bsp", "ambiguous: “1/4 bsp” can mean BSPP 1/4, BSPT 1/4 or BSP 60° cone 1/4", PARALLEL_OR_TAPER),
    ("1/2 bsp mm", "ambiguous: “1/2 bsp mm” can mean BSPP 1/2, BSPT 1/2 or BSP 60° cone 1/2", PARALLEL_OR_TAPER),
    ("12mm cutting ring 1/2 bsp", "ambiguous: “12mm cutting ring” can mean 24° cone 12L or 24° cone 12S",
     "Which is meant: 12L (light series, tube 12 mm outside), or 12S (heavy series, tube 12 mm outside)?"),
    ("15L male stud M18x1.5", "ambiguous: “male stud M18x1.5” can mean ISO 6149 M18x1.5 or ISO 9974 M18x1.5",
     "What is the outside diameter of the tube, if there is one, and what seals: a 24° cone, a 30° flare, a ring in a chamfered mouth "
     "(ISO 6149) or a flat face (ISO 9974)?"),
    # threads of the French series, from memory
    ("M36x1.5", "ambiguous: “M36x1.5” can mean metric 30° flare M36x1.5", FRENCH),
    ("M30x1.5 male", "ambiguous: “M30x1.5 male” can mean metric 30° flare M30x1.5", FRENCH),
    ("M20x1.5", "ambiguous: “M20x1.5” can mean ISO 6149 M20x1.5, ISO 9974 M20x1.5 or 24° cone 12S", FRENCH),
    ("24 cone M36x1.5", "not understood: M36x1.5 is no size of the 24° cone, which is written like 15L", FRENCH),
    ("m16x2", "not covered: no end in our tables has the thread M16x2",
     "M16x2 is the thread of diagnostic couplings (ISO 15171-2, from memory), which are not in our tables; for another end count the pitch again"),
    ("ISO 6149 m16x2", "not covered: no end in our tables has the thread M16x2",
     "M16x2 is the thread of diagnostic couplings (ISO 15171-2, from memory), which are not in our tables; for another end count the pitch again"),
    ("m17x1", "not covered: no end in our tables has the thread M17x1", None),
    ("1/2 bonded seal", "ambiguous: “1/2 bonded seal” can mean more than one thing",
     "Is it the ring by itself, or an end that has one? The ring is named by `show` of its end, such as “BSPP 1/2 male”, and a shelf "
     "(`stock`) reads “bonded seal G1/2”; of an end say whether it is male"),
    ("orfs 8 fs", "ambiguous: “orfs 8 fs” can mean more than one thing",
     "FS is a female swivel to one house and a face seal to another: write family, size and gender, such as “ORFS -8 swivel” or “JIC -8 swivel”"),
    ("7/8 hex", "ambiguous: “7/8 hex” can mean more than one thing", WRENCH),
    ("jic 8 blank", "ambiguous: “jic 8 blank” can mean more than one thing",
     "A cap that closes a male end, or a plug that closes a female one? Write “cap” or “plug” with family and size, for a flange “plug”"),
    # the true cause, told by the reader of parts
    ("orb 8 male x jic 8 xyzzy", "not understood: “xyzzy” is not a word we know",
     "name family, size and form, such as “ORB -6 port” or “NPT 1/2 male”"),
    ("99 ORB -6 male x JIC -6 male", "not covered: ORB is not made in size 99, as far as our tables go",
     "ORB is made in -2, -3, -4, -5, -6, -8, -10, -12, -14, -16, -20, -24, -32"),
    ("jic 8 x", "not understood: “jic 8 x” names one end, and a part has two", "name both ends, such as “ORB -6 male x JIC -6 male”"),
    ("8 mj 8 mj 8 mb tee", "not understood: “8 mj 8 mj 8 mb tee” names more ends than are parted by an x",
     "name each end, with an x between them"),
    ("Einschraubverschraubung 15L", "ambiguous: “Einschraubverschraubung 15L” names one end of the part",
     "What is at the other end? Write it after an x; for two ends alike say “union”, for male and female “street”"),
    # an end that failed stays the end that failed
    ("orffs -8", "not understood: “orffs” is not a word we know", "did you mean “ORFS”?"),
    # threads of what is no hydraulic end, from memory (ISO 261 and SAE J512)
    ("M14x1.25", "not covered: no end in our tables has the thread M14x1.25",
     "M14x1.25 is a thread of spark plugs and screws (ISO 261, from memory), and of no hydraulic end that we know; for another end count "
     "the pitch again"),
    ("13/16-18 male", "not covered: no end in our tables has the thread 13/16-18",
     "13/16-18: brass compression body for 5/8 in tube (SAE J512), from memory; its sleeve or ferrule grips a plain tube: ask for the same "
     "kind by the tube, and do not flare it. Count the pitch again: with that diameter there is 13/16-16"),
    ("M14x1.5 links", "not covered: our tables do not cover a left-hand thread", "left-hand: gas, not hydraulics"),
    ("banjo bolt M10x1", "not covered: our tables do not cover a banjo fitting",
     "its bolt goes into a port: name the port by the thread of that bolt, as ISO 9974, ISO 6149 or BSPP"),
    # the end that is in doubt is quoted, without the words of the other
    ("JIC 8 AG - M22x1,5 AG", "ambiguous: “M22x1,5 AG” can mean ISO 6149 M22x1.5, ISO 9974 M22x1.5, 24° cone 15L, 24° cone 14S or metric 30° "
     "flare M22x1.5", WHAT_SEALS),
    ("JIC 8 AG M22x1,5 AG", "ambiguous: “M22x1,5 AG” can mean ISO 6149 M22x1.5, ISO 9974 M22x1.5, 24° cone 15L, 24° cone 14S or metric 30° "
     "flare M22x1.5", WHAT_SEALS),
    ("Qd flat face 1/2 body, 3/4 ORB", "ambiguous: “3/4 ORB” can mean ORB -12 or ORB -8",
     "Which is meant: the tube is 3/4, then it is -12, or the thread is 3/4-16, then it is -8?"),
    # one piece, and no part
    ("JIC 8 tube nut x", "ambiguous: “JIC 8 tube nut x” names one piece, and no part with two ends",
     "A nut by itself is kept for its tube. If it is on a part, name both its ends, with an x between them"),
    # a word that is far from every word of ours is none of them misspelled
    *[(typed, f"not understood: “{word}” is not a word we know", "name family, size and form, such as “ORB -6 port” or “NPT 1/2 male”")
      for typed, word in (("2 inch storx", "storx"), ("cooper thing", "cooper"), ("bleak NPT tee", "bleak"), ("vesting M8", "vesting"))],
    ("15L 1/2 JIC bspp", "not understood: JIC and BSPP contradict each other: an end is one or the other",
     "for a part with two ends, write “… x …” between them"),
    # a taper thread with a fraction is no kind of hose, and R5 counts its bores otherwise
    *[(typed, "not understood: hose and R contradict each other: an end is one or the other", "for a part with two ends, write “… x …” between them")
      for typed in ("hose R3/8", "hose R5 -8")],
    # made, but not in that shape
    ("45 npt 3/4 male x npt 1/2 female", "not covered: our tables hold no 45 NPT 3/4 male x NPT 1/2 female: ask at the counter; "
     "it is made as bushing, NPT 1/2 female × NPT 3/4 male or 90°, NPT 1/2 female × NPT 3/4 male", "fittings join tells which parts do it together"),
]


@pytest.mark.parametrize(("typed", "said", "ask"), ASKED, ids=[each[0] for each in ASKED])
def test_what_show_says_when_it_does_not_know(typed: str, said: str, ask: str | None, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["show", typed]) == (3 if said.startswith("not covered") else 2)
    told = capsys.readouterr().err.splitlines()
    assert told[0] == said
    assert (told[1] if told[1:] and "(write it:" not in told[1] else None) == ask


@pytest.mark.parametrize(("typed", "told", "part"), [
    ("-12 x -8 orb reducer bushing", "our tables hold no bushing ORB -12 male stud x ORB -8 port: this is what is made",
     "straight, ORB -8 port × ORB -12 male stud"),
    ("1/2 bspp male to 3/8 bspp female reducer", "our tables hold no straight BSPP 1/2 male stud x BSPP 3/8 port: this is what is made",
     "bushing, BSPP 3/8 port × BSPP 1/2 male stud"),
    ("npt reducer 3/4 x 1/2", "our tables hold no straight NPT 3/4 male x NPT 1/2 female: this is what is made",
     "bushing, NPT 1/2 female × NPT 3/4 male"),
])
def test_a_straight_part_by_another_name_is_shown_and_said(typed: str, told: str, part: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["show", typed]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert told in shown
    assert shown.partition(f"{told} ")[2].startswith(part)


def test_json_tells_what_was_taken(capsys: pytest.CaptureFixture[str]) -> None:
    told = []
    for typed in ("JIC -16 male 3000 psi", "JIC -16 male", "1/2 npt plug 3000 psi", "1/2 npt plug"):
        assert run(["show", typed, "--json"]) == 0
        told.append(json.loads(capsys.readouterr().out)["taken"])
    assert told == [[f"taken as JIC -16 male; “3000 psi” {PSI}"], [], [f"taken as NPT 1/2 male; “3000 psi” {PSI}"], []]


@pytest.mark.parametrize("beside", ["3000 psi", "210 bar", "brass", "stainless", "malleable iron", "aluminium"])
def test_what_bears_on_a_joint_is_not_passed_over(beside: str) -> None:
    """Whoever joins an end, or counts on a part, is told where a pressure or a material is asked for."""
    what = "a pressure" if beside[:1].isdigit() else "a material"
    for read in (lambda: read_end(f"NPT 3/8 male {beside}"), lambda: read_end(f"NPT 3/8 male {beside}", place="port"),
                 lambda: read_pair(f"NPT 3/8 male {beside} to JIC -6 male"), lambda: read_part(f"NPT 3/8 male x JIC -6 male {beside}")):
        with pytest.raises(NotUnderstood) as caught:
            read()
        assert caught.value.text == f"“{beside}” is {what}, and no part of an end"
        assert (caught.value.ask or "").startswith("leave it out: ")


def test_a_wrong_word_is_carried_by_the_error() -> None:
    with pytest.raises(NotUnderstood) as caught:
        read_end("malle JIC -8 and")
    assert (caught.value.wrong, caught.value.part) == ("", True)
    with pytest.raises(NotUnderstood) as caught:
        read_end("JIC -8 malle")
    error = caught.value
    assert (error.wrong, error.near, error.part, [each.id for each in error.candidates]) == ("malle", "male", False, ["jic-8-male"])
    with pytest.raises(NotUnderstood) as caught:
        read_end("frobnicator 3")
    assert (caught.value.wrong, caught.value.near, caught.value.candidates) == ("frobnicator", "", ())
    with pytest.raises(NotUnderstood) as caught:
        read_end("1/3 NPT male")
    assert (caught.value.wrong, caught.value.near) == ("1/3", "")
    assert (NotUnderstood("a", "b").wrong, NotUnderstood("a", "b").near, NotUnderstood("a", "b").part) == ("", "", False)


def test_two_ends_side_by_side_are_a_pair() -> None:
    assert [each.end.id for each in read_pair("15L G1/2", place="part")] == ["cone24-15L-male", "bspp-1/2-stud"]
    assert [each.end.id for each in read_pair("8 orb f x 8 npt m")] == ["orb-8-port", "npt-1/2-male"]
    with pytest.raises(Ambiguous, match="“3/4 orb” can mean ORB -12 or ORB -8"):
        read_pair("3/4 orb jic 12 male")
    with pytest.raises(NotUnderstood, match="names 2 ends, and two are wanted"):
        read_pair("8 mj 8 mj tee jic -8")
