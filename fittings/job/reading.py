"""A job file as text, read into a job; or every mistake in it at once, each with its line."""

import re
import tomllib
from collections.abc import Iterator
from os.path import exists
from pathlib import Path as FilePath
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from fittings.job.mistakes import BadJob, Mistake, nearest, typed_text
from fittings.job.model import Job, end_named, fields_of
from fittings.job.quantities import KIND_LIKE
from fittings.job.toml_lines import Path, line_of, toml_lines

LARGEST_BYTES = 500_000
MOST_LEGS = 3

Raw = dict[str, Any]

_EXAMPLES = {
    "relief": 'relief = "2750 psi"', "flow": 'flow = "11 gpm"', "bore": 'bore = "2.5 in"', "rod": 'rod = "1.5 in"',
    "name": 'name = "valve"', "ports": 'ports = { A = "ORB -8 port" }', "from": 'from = "valve.A"',
    "to": 'to = "lift cylinder.cap"', "system": '[system] with relief = "2750 psi" and flow = "11 gpm"',
    "component": 'a table [[component]] with name = "valve" and ports = { A = "ORB -8 port" }',
    "line": 'a table [[line]] with name = "raise", from = "valve.A" and to = "lift cylinder.cap"',
    "pivot_to_from": 'pivot_to_from = "10 in"', "pivot_to_to": 'pivot_to_to = "14 in"',
    "angle": 'angle = ["40 deg", "150 deg"]',
}


def read_job_file(path: str) -> Job:
    """The job in a file. Raises BadJob with every mistake, and OSError when the file cannot be read at all."""
    with FilePath(path).open("rb") as file:
        content = file.read(LARGEST_BYTES + 1)  # never all of it: a device never ends
    if len(content) > LARGEST_BYTES:
        raise BadJob([Mistake(None, "the file", "", "too long for a job file", f"at most {LARGEST_BYTES} bytes")], path)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise BadJob([Mistake(line, "the file", "", "not written in UTF-8", "save it as UTF-8 text")], path) from None
    return read_job(text, path)


def beside(path: str, file: str) -> str:
    """The place of a file that a job file names: seen from the folder of the job file."""
    return str(FilePath(path).parent / file)


def read_job(text: str, name: str = "") -> Job:
    """The job that a TOML text describes; `name` of the file for the messages. Raises BadJob with every mistake at once.

    >>> read_job('[system]\\nrelief = 2750\\nflow = "11 gpm"\\n[[line]]\\n[[component]]')  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    fittings.job.mistakes.BadJob: 2: system, relief “2750”: a bare number: the unit is missing; write it like "2750 psi"
    4: line 1: it does not say where it goes; write to = "lift cylinder.cap"
    ...
    """
    mistakes = list(_beyond_reading(text))
    if mistakes:
        raise BadJob(mistakes, name)
    try:
        return _read_job(text, name)
    except tomllib.TOMLDecodeError as error:
        raise BadJob([_syntax(text, str(error))], name) from None
    except RecursionError:
        raise BadJob([Mistake(None, "the file", "", "brackets within brackets without end", "see fittings new")], name) from None


MOST_DOTS = 500
"""In one line: the time to read a key grows with the square of its parts."""

_HALF_A_SIGN = re.compile("[\ud800-\udfff]")
_LONG_NUMBER = re.compile(r"(?<![0-9A-Za-z_])[0-9][0-9A-Za-z_]{250,}")


def _beyond_reading(text: str) -> Iterator[Mistake]:
    """Lines on which the reader of TOML would take minutes, or make numbers that nothing can be reckoned with."""
    if text.count(".") <= MOST_DOTS and not _LONG_NUMBER.search(text) and not _HALF_A_SIGN.search(text):
        return
    for number, line in enumerate(text.split("\n"), 1):
        if _HALF_A_SIGN.search(line):
            yield Mistake(number, "the file", "", "a sign that no file can hold", "type the line again")
        elif line.count(".") > MOST_DOTS:
            yield Mistake(number, "the file", line.strip(), "a key of more parts than any table has", "see fittings new")
        elif _LONG_NUMBER.search(line):
            yield Mistake(number, "the file", line.strip(), "a number of more digits than can be meant", "see fittings new")


def _read_job(text: str, name: str) -> Job:
    raw = tomllib.loads(text)
    lines = toml_lines(text)
    return _job_in(raw, lines, list(_shelf(raw, lines, name)), name)


def job_in(tables: Raw) -> Job:
    """The job in tables with the keys of a job file, as a saved plan holds it; whether its shelf is there is not asked.
    Raises BadJob with every mistake at once."""
    return _job_in(tables, {}, [], "")


def _job_in(raw: Raw, lines: dict[Path, int], found: list[Mistake], name: str) -> Job:
    mistakes: list[Mistake] = []
    job = None
    try:
        job = Job.model_validate(raw)
    except ValidationError as error:
        mistakes = [_mistake(dict(each), raw, lines) for each in error.errors()]
    mistakes += [*_cross_check(raw, lines), *found]
    if job is not None and not mistakes:
        return job
    raise BadJob(list(dict.fromkeys(mistakes)), name)


def _syntax(text: str, message: str) -> Mistake:
    all_lines = text.splitlines() or [""]
    place = re.search(r"\(at line (\d+), column \d+\)", message)
    number = int(place.group(1)) if place else len(all_lines)
    wrong = re.sub(r"\s*\(at .*\)$", "", message)
    typed = all_lines[min(number, len(all_lines)) - 1].strip()
    return Mistake(number, "not TOML", typed, wrong[:1].lower() + wrong[1:],
                   'texts stand in quotes, as in relief = "2750 psi"; fittings new writes a file to start from')


# --- mistakes in single values ---------------------------------------------------------------------------------------

def _mistake(error: dict[str, Any], raw: Raw, lines: dict[Path, int]) -> Mistake:
    path: Path = tuple(part for part in error["loc"] if part != "[key]")
    kind, typed = error["type"], error["input"]
    context = error.get("ctx") or {}
    line, where = line_of(lines, path), _where(path, raw)
    if kind == "wrong_value":
        return Mistake(line, where, context["typed"], context["wrong"], context["right"])
    key = str(path[-1])
    if kind == "missing":
        return Mistake(line, where, "", "needed and not there", f"write {_EXAMPLES.get(key, key)}")
    if kind == "extra_forbidden":
        known = [each for each in _keys_at(path[:-1]) if each != key]
        return Mistake(line, _where(path[:-1], raw) or "top of the file", key, "no such key here", nearest(key, known))
    if kind in ("too_short", "too_long"):
        if key in ("line", "component"):
            return Mistake(line, where, typed_text(typed), "there must be at least one", f"write {_EXAMPLES[key]}")
        return Mistake(line, where, typed_text(typed), "two angles are wanted, one for each end of the motion",
                       _EXAMPLES["angle"])
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return Mistake(line, where, typed_text(typed), "a table is wanted here", f"write {_EXAMPLES.get(key, _table_example(path))}")
    if kind == "list_type":
        example = f"[[{key}]] begins one" if key in ("line", "component", "branch") else "write it like [\"npt\"]"
        return Mistake(line, where, typed_text(typed), "a list is wanted here", example)
    return Mistake(line, where, typed_text(typed), str(error["msg"]), "")


def _table_example(path: Path) -> str:
    model = _model_at(path)
    return "{ " + ", ".join(f"{each} = …" for each in list(fields_of(model))[:4]) + " }" if model else "{ … }"


def _where(path: Path, raw: Raw) -> str:
    """A path in words: `line "raise", route.length`."""
    words: list[str] = []
    value: Any = raw
    rest: list[str] = []
    for number, part in enumerate(path):
        value = _inside(value, part)
        if isinstance(part, int) and number and path[number - 1] in ("line", "component", "branch"):
            rest.pop()
            called = value.get("name") or value.get("to") if isinstance(value, dict) else None
            words.append(f"{path[number - 1]} “{called}”" if isinstance(called, str) else f"{path[number - 1]} {part + 1}")
        elif isinstance(part, int):
            rest.append(f"{rest.pop()}[{part + 1}]" if rest else f"[{part + 1}]")
        else:
            rest.append(str(part))
    if len(rest) > 1 and not words and rest[0] in ("system", "limits"):
        words.append(rest.pop(0))
    return ", ".join([*words, ".".join(rest)] if rest else words)


def _inside(value: Any, part: str | int) -> Any:
    try:
        return value[part]
    except (KeyError, IndexError, TypeError):
        return None


def _model_at(path: Path) -> type[BaseModel] | None:
    """The model of the table at a path of the file, or None where there is none."""
    model: type[BaseModel] | None = Job
    for part in path:
        if isinstance(part, int):
            continue
        field = fields_of(model).get(part) if model else None
        model = _model_in(field.annotation) if field is not None else None
    return model


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for each in get_args(annotation) if (found := _model_in(each))), None)


def _keys_at(path: Path) -> list[str]:
    model = _model_at(path)
    return list(fields_of(model)) if model else []


# --- mistakes that only show when two places of the file are held against each other -----------------------------------

def _cross_check(raw: Raw, lines: dict[Path, int]) -> Iterator[Mistake]:
    yield from _components(raw, lines)
    yield from _lines(raw, lines)
    temperature = _inside(_inside(raw, "system"), "temperature")
    if isinstance(temperature, dict):
        yield from _cold_and_hot(temperature, lines)


def _shelf(raw: Raw, lines: dict[Path, int], name: str) -> Iterator[Mistake]:
    file = _inside(_inside(raw, "stock"), "file")
    if isinstance(file, str) and file.strip() and not exists(beside(name, file.strip())):
        yield Mistake(line_of(lines, ("stock", "file")), "stock, file", file, "there is no such file",
                      "it is looked for in the folder of the job file")


def _cold_and_hot(typed: Raw, lines: dict[Path, int]) -> Iterator[Mistake]:
    from fittings.job.model import Temperature

    try:
        read = Temperature.model_validate(typed)
    except ValidationError:
        return
    if read.cold_c >= read.hot_c:
        path: Path = ("system", "temperature")
        yield Mistake(line_of(lines, path), "system, temperature", typed_text(typed), "the cold start is not colder than hot oil",
                      'temperature = { cold = "-10 C", hot = "60 C" }')


def _tables(raw: Raw, key: str) -> list[tuple[int, Raw]]:
    found = raw.get(key)
    return [(number, each) for number, each in enumerate(found) if isinstance(each, dict)] if isinstance(found, list) else []


def _components(raw: Raw, lines: dict[Path, int]) -> Iterator[Mistake]:
    seen: dict[str, int | None] = {}
    for number, each in _tables(raw, "component"):
        path: Path = ("component", number)
        name, ports, size = each.get("name"), each.get("ports"), each.get("cylinder")
        line = line_of(lines, (*path, "name"))
        where = _where(path, raw)
        if isinstance(name, str):
            if name in seen:
                yield Mistake(line, where, name, f"a second component of that name; the first is on line {seen[name]}",
                              "give each a name of its own")
            seen.setdefault(name, line)
        if isinstance(size, dict):
            yield from _rod_in_bore(size, where, line_of(lines, (*path, "cylinder")))
        if isinstance(ports, dict) and _is_cylinder(each):
            for port in ports:
                if not end_named(port):
                    yield Mistake(line_of(lines, (*path, "ports", port)), where, port,
                                  "a cylinder's ports are named cap (the end without the rod) and rod",
                                  'ports = { cap = "…", rod = "…" }')
        yield from _centre(each, where, line_of(lines, (*path, "centre")))
        yield from _bypass(each, where, line_of(lines, (*path, "bypass")))
        yield from _fit(each, where, line_of(lines, (*path, "fit")))
        yield from _vents(each, ports, where, line_of(lines, (*path, "vented")))


def _is_cylinder(component: Raw) -> bool:
    return "cylinder" in component or str(component.get("kind")).strip().lower() == "cylinder"


def _centre(component: Raw, where: str, line: int | None) -> Iterator[Mistake]:
    """A centre says that it is a valve, so no other kind goes with it."""
    kind = component.get("kind", "valve")
    other = isinstance(kind, str) and KIND_LIKE.get(kind.strip().lower()) != "valve"
    if "centre" in component and (_is_cylinder(component) or other):
        yield Mistake(line, f"{where}, centre", typed_text(component["centre"]), "only a valve has a centre",
                      'kind = "valve", or leave centre out')


def _bypass(component: Raw, where: str, line: int | None) -> Iterator[Mistake]:
    """A bypass past what it filters."""
    if "bypass" in component and str(component.get("kind")).strip().lower() != "filter":
        yield Mistake(line, f"{where}, bypass", typed_text(component["bypass"]), "only a filter has a bypass",
                      'kind = "filter", or leave bypass out')


TOGETHER = (("closed", "retracted", "extended"), ("eye", "gap"), ("pin", "hole"), ("port_from_pin", "obstacle_from_pin"))


def _fit(component: Raw, where: str, line: int | None) -> Iterator[Mistake]:
    """Measures of a place that say nothing without each other."""
    fit = component.get("fit")
    if not isinstance(fit, dict):
        return
    for keys in TOGETHER:
        missing = [key for key in keys if key not in fit]
        if missing and len(missing) < len(keys):
            given = [key for key in keys if key in fit]
            yield Mistake(line, f"{where}, fit", ", ".join(given), f"says nothing without {' and '.join(missing)}",
                          f"write {', '.join(keys)} together")
    size = component.get("cylinder")
    if not isinstance(size, dict):
        yield Mistake(line, f"{where}, fit", "", "only a cylinder can be fitted",
                      'cylinder = { bore = "2.5 in", rod = "1.5 in", stroke = "16 in" }')
    elif "closed" in fit and "stroke" not in size:
        yield Mistake(line, f"{where}, fit", "closed", "says nothing without the stroke", 'stroke = "16 in" in cylinder')


def _vents(component: Raw, ports: Any, where: str, line: int | None) -> Iterator[Mistake]:
    vented = component.get("vented")
    if not isinstance(vented, list) or not isinstance(ports, dict):
        return
    known = [*ports, *(["cap", "rod"] if _is_cylinder(component) else [])]
    for port in vented:
        if isinstance(port, str) and port not in known:
            yield Mistake(line, f"{where}, vented", port, "no such port on it", nearest(port, list(dict.fromkeys(known))))


def _rod_in_bore(typed: Raw, where: str, line: int | None) -> Iterator[Mistake]:
    from fittings.job.model import CylinderSize

    try:
        size = CylinderSize.model_validate({key: typed[key] for key in ("bore", "rod") if key in typed})
    except ValidationError:
        return
    if size.rod_in >= size.bore_in:
        yield Mistake(line, f"{where}, cylinder", typed_text(typed), "the rod does not go into the bore",
                      'the rod is thinner, as in { bore = "2.5 in", rod = "1.5 in" }; a plunger, all rod and no piston, has '
                      'rod = "0 in" and its own diameter as the bore')


def _lines(raw: Raw, lines: dict[Path, int]) -> Iterator[Mistake]:
    ports = {
        f"{each['name']}.{port}": (each["name"], port)
        for _, each in _tables(raw, "component")
        if isinstance(each.get("name"), str) and isinstance(each.get("ports"), dict) for port in each["ports"]
    }
    vented = _vented(raw)
    used: dict[str, tuple[str, int | None]] = {}
    names: dict[str, int | None] = {
        f"{each.get('name')} on {to}": line_of(lines, ("component", number, "on"))
        for number, each in _tables(raw, "component") if isinstance(each.get("on"), dict) for to in each["on"].values()}
    yield from _seated(raw, lines, ports, vented, used)
    for number, each in _tables(raw, "line"):
        path: Path = ("line", number)
        where, name = _where(path, raw), each.get("name")
        if isinstance(name, str):
            line = line_of(lines, (*path, "name"))
            if name in names:
                yield Mistake(line, where, name, f"a second line of that name; the first is on line {names[name]}",
                              "give each a name of its own")
            names.setdefault(name, line)
        yield from _routes(each, path, where, lines)
        yield from _avoided(raw, each, path, where, lines)
        references = _references(each, path)
        if not any(key != "from" for key, _, _ in references):
            yield Mistake(line_of(lines, path), where, "", "it does not say where it goes", f"write {_EXAMPLES['to']}")
        if sum(key != "from" for key, _, _ in references) > MOST_LEGS:
            yield Mistake(line_of(lines, (*path, "to")), where, "", f"a line splits into at most {MOST_LEGS}",
                          "put a manifold between, as a component")
        for key, at, typed in references:
            line = line_of(lines, at)
            if typed not in ports:
                yield Mistake(line, f"{where}, {key}", typed, *_no_such_port(typed, ports))
            elif ports[typed] in vented:
                yield Mistake(line, f"{where}, {key}", typed, "that end stands under vented, so it is open to the air and takes no line",
                              "take it out of vented, or leave the line out")
            elif typed in used:
                by, there = used[typed]
                yield Mistake(line, f"{where}, {key}", typed, f"that port is taken already, by {by} on line {there}",
                              "one port takes one line; for two, let one line split: to = [\"…\", \"…\"]")
            else:
                used[typed] = where, line


def _seated(raw: Raw, lines: dict[Path, int], ports: dict[str, tuple[str, str]], vented: set[tuple[str, str]],
            used: dict[str, tuple[str, int | None]]) -> Iterator[Mistake]:
    """Ports that something sits on itself, no hose between: they are taken by it, and so is its own."""
    tables = [(number, each) for number, each in _tables(raw, "component") if isinstance(each.get("on"), dict)]
    moving = [each.get("name") for _, each in _tables(raw, "component")
              if _is_cylinder(each) or str(each.get("kind")).strip().lower() == "motor"]
    for number, each in tables:
        path: Path = ("component", number)
        where = f"{_where(path, raw)}, on"
        if _is_cylinder(each) or str(each.get("kind", "other")).strip().lower() in ("motor", "pump", "tank"):
            yield Mistake(line_of(lines, (*path, "on")), where, "", "only a valve or a block sits on a port", "leave it out")
        for own, typed in each["on"].items():
            line = line_of(lines, (*path, "on", own))
            if not isinstance(typed, str):
                continue
            typed = typed.strip()
            if typed not in ports:
                yield Mistake(line, where, typed, *_no_such_port(typed, ports))
                continue
            if ports[typed][0] not in moving or ports[typed][0] == each.get("name"):
                yield Mistake(line, where, typed, "only on a port of a cylinder or motor does it sit without a hose", "a line leads there")
            elif ports[typed] in vented:
                yield Mistake(line, where, typed, "that end stands under vented, so it is open to the air", "take it out of one of the two")
            elif typed in used:
                yield Mistake(line, where, typed, f"that port is taken already, by {used[typed][0]} on line {used[typed][1]}",
                              "one port takes one thing")
            used[typed] = used[f"{each.get('name')}.{own}"] = _where(path, raw), line


def _vented(raw: Raw) -> set[tuple[str, str]]:
    """Ports that are open to the air by the job file, as component and port: those named, and of a cylinder the whole end."""
    return {
        (each["name"], port)
        for _, each in _tables(raw, "component")
        if isinstance(each.get("name"), str) and isinstance(each.get("ports"), dict) and isinstance(each.get("vented"), list)
        for port in each["ports"] for vent in each["vented"]
        if isinstance(vent, str) and (port == vent or (_is_cylinder(each) and end_named(port) == end_named(vent)))
    }


def _avoided(raw: Raw, line: Raw, path: Path, where: str, lines: dict[Path, int]) -> Iterator[Mistake]:
    """Hose ends of a family that the limits of the same file keep out."""
    from fittings.job.model import GivenHose, Limits

    try:
        avoid = Limits.model_validate(raw.get("limits", {})).avoid
        given = GivenHose.model_validate(line.get("hose", {})).ends or []
    except ValidationError:
        return
    for each in given:
        if each.end.family in avoid:
            yield Mistake(line_of(lines, (*path, "hose", "ends")), f"{where}, hose.ends", each.typed,
                          f"{each.end.family} stands under avoid in [limits]", "one of the two must go")
            return


def _references(line: Raw, path: Path) -> list[tuple[str, Path, str]]:
    """Every port a line names: key, path in the file, text; a leg named in `to` and again as a branch counts once."""
    found: list[tuple[str, Path, str]] = []
    if isinstance(line.get("from"), str):
        found.append(("from", (*path, "from"), line["from"].strip()))
    target = line.get("to")
    for number, each in enumerate(target if isinstance(target, list) else [target]):
        if isinstance(each, str):
            found.append(("to", (*path, "to", number) if isinstance(target, list) else (*path, "to"), each.strip()))
    told = {typed for key, _, typed in found if key == "to"}
    for number, branch in _tables(line, "branch"):
        if isinstance(branch.get("to"), str) and branch["to"].strip() not in told:
            found.append(("branch.to", (*path, "branch", number, "to"), branch["to"].strip()))
    return found


def _no_such_port(typed: str, ports: dict[str, tuple[str, str]]) -> tuple[str, str]:
    components = list(dict.fromkeys(name for name, _ in ports.values()))
    of = next((name for name in sorted(components, key=len, reverse=True) if typed.startswith(name + ".")), None)
    if of is not None:
        mine = [port for name, port in ports.values() if name == of]
        port = typed[len(of) + 1 :]
        return f"{of} has no port {port}" if port else "the port is missing", f"it has {', '.join(mine)}"
    if typed in components:
        mine = [port for name, port in ports.values() if name == typed]
        return "the port is missing", " or ".join(f'"{typed}.{port}"' for port in mine[:4])
    return "no such component and port", nearest(typed, list(ports))


def _routes(line: Raw, path: Path, where: str, lines: dict[Path, int]) -> Iterator[Mistake]:
    for at, table in [(path, line), *(((*path, "branch", number), each) for number, each in _tables(line, "branch"))]:
        route = table.get("route")
        if isinstance(route, dict) and ("length" in route) == ("swing" in route):
            wrong = "a route is a length or a swing, not both" if "length" in route else "a route is a length or a swing"
            yield Mistake(line_of(lines, (*at, "route")), f"{where}, route", typed_text(route), wrong,
                          'route = { length = "84 in" }')
