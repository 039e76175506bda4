"""The command ``sizing``: one question a command, and ``validate``, which shows what the answers rest on.

Whatever a command says is written, and every error becomes one line, in one place below.
"""

from __future__ import annotations

import codecs
import json
import os
import shutil
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import Any, TextIO

import click

from sizing import __version__
from sizing.advice.recommend import recommend as answer
from sizing.inputs import Fault, ScenarioError, demo_mapping, read_mapping, scenario_from_mapping
from sizing.report.checks import all_misses_stated, check_lines
from sizing.report.json import outcome_object, recommendation_object
from sizing.report.plain import answer_lines
from sizing.report.words import say
from sizing.validation import outcomes

WRONG_INPUT = 2
INTERRUPTED = 130  # as shells count a command that was stopped by hand
NARROWEST, WIDEST = 40, 100  # characters of a line of sentences
ASCII = {"°": "deg ", "−": "-", "–": "-", "Ω": "ohm", "×": "x"}
PLAIN = "sizing_plain"  # name of the way in which letters are written that a terminal lacks


@dataclass(frozen=True)
class Flag:
    """One flag and the field of a scenario that it fills.

    name : without dashes [-]
    field : section and key, parted by a point [-]
    help : what it is, with an example [-]
    switch : whether it is a yes or no [-]
    """

    name: str
    field: str
    help: str
    switch: bool = False


FLAGS = (
    Flag("displacement", "vehicle.displacement", 'Engine size, such as "2.0 l" or "350 cu in".'),
    Flag("cylinders", "vehicle.cylinders", "Number of cylinders."),
    Flag("fuel", "vehicle.fuel", "petrol or diesel."),
    Flag("oil", "vehicle.oil", "Grade of the engine oil, such as 5W-30."),
    Flag("injection", "vehicle.injection", "Of a diesel: direct or indirect."),
    Flag("preheat", "vehicle.preheat", "Of a diesel: glow, intake heater or none."),
    Flag("starter-power", "vehicle.starter_power", 'From the plate of the starter, such as "1.4 kW".'),
    Flag("maker-cold-cranking", "vehicle.maker_cold_cranking", "Amps that the vehicle's maker asks for."),
    Flag("maker-standard", "vehicle.maker_standard", "Mark beside those amps."),
    Flag("maker-reserve", "vehicle.maker_reserve", "Minutes that the vehicle's maker asks for."),
    Flag("maker-capacity", "vehicle.maker_capacity", "Ampere-hours that the vehicle's maker asks for."),
    Flag("original-type", "vehicle.original_type", "Type of battery that the vehicle was made with."),
    Flag("system-voltage", "vehicle.system_voltage", '"12 V" or "24 V".'),
    Flag("parallel", "vehicle.batteries_in_parallel", "Batteries side by side: 1 or 2."),
    Flag("stop-start", "vehicle.stop_start", "The engine stops by itself at a halt.", True),
    Flag("sensor-managed", "vehicle.sensor_managed", "A sensor at the battery manages charging.", True),
    Flag("block-heater", "vehicle.block_heater", "A heater in the coolant is on before the start.", True),
    Flag("place", "place.name", "Where the vehicle stands, such as Winnipeg."),
    Flag("coldest-night", "place.coldest_night", "Instead of a place: -30C or '-22 °F'."),
    Flag("latitude", "place.latitude", "Instead of a place, with longitude: degrees north."),
    Flag("longitude", "place.longitude", "Degrees east; west is negative."),
    Flag("weather-file", "place.weather_file", "Instead of a place: EPW, TMY3 or CSV of its temperatures."),
    Flag("shelter", "place.shelter", "street, carport, attached garage or detached garage."),
    Flag("sleeve", "place.sleeve", "Insulating sleeve around the battery, such as 'foam 10 mm'."),
    Flag("type", "battery.type", "Of the battery in hand: flooded calcium, EFB, AGM or unknown."),
    Flag("cold-cranking", "battery.cold_cranking", "Amps on its label, such as 640A."),
    Flag("standard", "battery.standard", "Mark beside them: EN, SAE, CCA, DIN, ... The answer follows it."),
    Flag("reserve", "battery.reserve", "Minutes at 25 A on its label, such as 110min."),
    Flag("capacity", "battery.capacity", "Ampere-hours on its label, such as 70Ah."),
    Flag("age", "battery.age", "Its age, such as '3 years'."),
    Flag("charge", "battery.charge", "Its state of charge, where it is known, such as 80%."),
    Flag("chance", "goal.chance", "Wanted chance of starting on that night, such as 95%."),
    Flag("goal-age", "goal.age", "Age at which it shall still start, such as '4 years'."),
    Flag("return-period", "goal.return_period", "The coldest night of one year in so many: '10 years'."),
    Flag("shelf-standard", "goal.standard", "Mark that the shelf prints, where the label has another."),
    Flag("case", "goal.case", "Largest case that fits the tray, such as LN3 or 24F."),
    Flag("units", "show.units", "metric or US."),
    Flag("seed", "seed", "Same seed, same answer."),
)
# Fields that stand for each other: a flag for one drops the others that a file gave
INSTEAD = (
    (
        ("place.name",),
        ("place.coldest_night",),
        ("place.latitude", "place.longitude"),
        ("place.weather_file",),
    ),
    (("vehicle.oil",), ("vehicle.oil_data",)),
)
OWN = ("vehicle", "place", "battery")  # whoever names one of these asks about an own car, not about the demo


@dataclass(frozen=True)
class Said:
    """What a command has to say, and how it ends."""

    text: str
    code: int = 0


def _flags(command: click.Command) -> click.Command:
    """Return the command with every flag of the table."""
    for flag in FLAGS:
        name = f"--{flag.name}/--no-{flag.name}" if flag.switch else f"--{flag.name}"
        options: dict[str, Any] = {"default": None, "help": flag.help}
        options |= {} if flag.switch else {"metavar": "TEXT"}
        command.params.append(click.Option([name, _parameter(flag)], **options))
    return command


def _parameter(flag: Flag) -> str:
    return flag.name.replace("-", "_")


def override(mapping: Mapping[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """Return a scenario's mapping with fields such as ``place.name`` replaced by those given.

    >>> override({"place": {"name": "Winnipeg", "shelter": "street"}}, {"place.coldest_night": "-30C"})
    {'place': {'shelter': 'street', 'coldest_night': '-30C'}}
    """
    result = {key: dict(part) if isinstance(part, dict) else part for key, part in mapping.items()}
    for ways in INSTEAD:
        if any(field in given for way in ways for field in way):
            for field in (field for way in ways if not set(way) & set(given) for field in way):
                section, _, key = field.partition(".")
                if isinstance(result.get(section), dict):
                    result[section].pop(key, None)
    for field, value in given.items():
        section, _, key = field.rpartition(".")
        part = result.setdefault(section, {}) if section else result
        # a section that is none is left as it is: reading it says what is wrong
        if isinstance(part, dict):
            part[key] = value
    return result


def _start(file: str | None, given: Mapping[str, Any], demo: bool) -> tuple[dict[str, Any], str]:
    """Return what the flags change, and what to say where it is invented."""
    if demo and file is not None:
        raise click.UsageError("--demo starts from the bundled demo, FILE from a file: give one of them")
    if file is not None:
        return read_mapping(file), ""
    own = [field for field in given if field.partition(".")[0] in OWN]
    if own and not demo:
        # nothing of the demo's: what is missing is asked for by its name
        return {"schema": 1, "vehicle": {}, "place": {}}, ""
    if not own:
        return demo_mapping(), say("demo.whole")
    by_field = {flag.field: f"--{flag.name}" for flag in FLAGS}
    return demo_mapping(), say("demo.changed", flags=", ".join(by_field[field] for field in own))


RECOMMEND_HELP = """\
What must a starter battery carry for this engine at this place?

FILE is a scenario in TOML; flags go before what it says. Without FILE and without a word about vehicle,
place or battery the bundled demo is answered: car, place and battery are invented. A flag about any of the
three starts from an empty scenario instead, so that nothing of the demo slips in; what is missing is asked
for. With --demo flags change the demo.

\b
Examples:
  sizing recommend
  sizing recommend mycar.toml --json
  sizing recommend mycar.toml --coldest-night -35C --oil 0W-30
  sizing recommend --displacement "2.0 l" --cylinders 4 --fuel diesel --place Helsinki
  sizing recommend --displacement "350 cu in" --cylinders 8 --fuel petrol \\
      --coldest-night "-22 °F" --cold-cranking 700A --standard CCA --age "3 years" --units US
  sizing recommend --demo --chance 99%

\b
A file holds, for example:
  schema = 1
  [vehicle]
  displacement = "2.0 l"
  cylinders = 4
  fuel = "petrol"
  [place]
  coldest_night = "-30 °C"
"""


class Commands(click.Group):
    """Commands of which each is imported only when it is asked for: an answer starts without the others."""

    elsewhere: Mapping[str, str] = {
        "convert": "sizing.commands.convert",
        "climate": "sizing.commands.climate",
        "start": "sizing.commands.first_seconds",
        "check": "sizing.commands.check",
        "standing": "sizing.commands.standing",
        "trips": "sizing.commands.trips",
        "life": "sizing.commands.life",
        "offers": "sizing.commands.offers",
        "booster": "sizing.commands.booster",
        "replace": "sizing.commands.replace",
    }

    def list_commands(self, context: click.Context) -> list[str]:
        """Return the names of all commands, in the order of the questions."""
        return ["recommend", *self.elsewhere, "validate"]

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        """Return a command by its name; none where there is no such command."""
        if name in self.elsewhere:
            command = getattr(import_module(self.elsewhere[name]), name)
            return command if isinstance(command, click.Command) else None
        return super().get_command(context, name)


@click.group(
    cls=Commands, context_settings={"help_option_names": ["-h", "--help"]}, invoke_without_command=True
)
@click.version_option(__version__, prog_name="sizing")
@click.pass_context
def sizing(context: click.Context) -> Said | None:
    """Is the 12 V starter battery good enough for this engine, this winter, this climate?"""
    return None if context.invoked_subcommand else Said(context.get_help())


@click.command(help=RECOMMEND_HELP)
@click.argument("file", required=False)
@click.option("--demo", is_flag=True, help="Start from the bundled, invented demo and change it by flags.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of sentences.")
def recommend(file: str | None, demo: bool, as_json: bool, **flags: Any) -> Said:
    """Answer one question."""
    given = {flag.field: flags[_parameter(flag)] for flag in FLAGS if flags[_parameter(flag)] is not None}
    mapping, invented = _start(file, given, demo)
    rec = answer(scenario_from_mapping(override(mapping, given)))
    if as_json:
        return Said(_json(recommendation_object(rec, demo=invented)))
    return Said("\n".join(answer_lines(rec, demo=invented, width=_width())))


@sizing.command()
@click.option("--json", "as_json", is_flag=True, help="A list of JSON objects instead of a table.")
def validate(as_json: bool) -> Said:
    """Compare every published check: what the source prints, what is computed here, and the tolerance.

    Ends with 0 when the reason of every miss is stated, else with 1.

    \b
    Examples:
      sizing validate
      sizing validate --json
    """
    found = outcomes()
    text = _json([outcome_object(outcome) for outcome in found]) if as_json else "\n".join(check_lines(found))
    return Said(text, 0 if all_misses_stated(found) else 1)


sizing.add_command(_flags(recommend))


def _json(thing: object) -> str:
    return json.dumps(thing, indent=2, allow_nan=False)


def _width() -> int | None:
    """Return the width of sentences on a terminal; None, one sentence a line, where nobody looks."""
    if sys.stdout is None or not sys.stdout.isatty():
        return None
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns))


def _fault_line(fault: Fault) -> str:
    """Return one fault on one line, with the flag that fills the field."""
    flag = next((flag.name for flag in FLAGS if flag.field == fault.field), "")
    where = f"{fault.field} (--{flag})" if flag else fault.field
    return str(Fault(where, fault.given, fault.accepted))


def _plain(error: UnicodeError) -> tuple[str, int]:
    """Return letters that a terminal lacks, written in letters that it has."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    text = error.object[error.start : error.end]
    return "".join(ASCII.get(letter, "?") for letter in text), error.end


def _complain(*lines: str) -> None:
    if sys.stderr is not None:
        for line in lines:
            print(" ".join(line.split()), file=sys.stderr)  # noqa: T201 - the one place that writes complaints


def _write(text: str) -> None:
    """Write to standard output to the last byte, so that what goes wrong goes wrong here."""
    if sys.stdout is None:
        raise OSError("it is closed")
    print(text, flush=True)  # noqa: T201 - the one place that writes answers


def _forget(stream: TextIO | None) -> None:
    """Let what could not be written go nowhere, so that the interpreter does not try again at its end."""
    if stream is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return how it ends: 0; 1 for an unstated miss; 2 with one line per wrong field."""
    codecs.register_error(PLAIN, _plain)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=PLAIN)
    try:
        said = sizing.main(arguments, prog_name="sizing", standalone_mode=False)
        if isinstance(said, Said):
            _write(said.text)
            return said.code
        return int(said or 0)
    except ScenarioError as error:
        _complain(*(_fault_line(fault) for fault in error.faults))
    except click.ClickException as error:
        _complain(f"command line: {error.format_message()}")
    except (click.Abort, KeyboardInterrupt):
        return INTERRUPTED
    except (BrokenPipeError, SystemExit):
        _forget(sys.stdout)  # nobody reads any more: that is no fault
        return 0
    except OSError as error:
        _complain(f"standard output: cannot be written ({error.strerror or error})")
        _forget(sys.stdout)
    except Exception as error:  # a traceback says nothing to whoever asks
        _complain(f"the program itself is at fault, please report it: {type(error).__name__}: {error}")
    return WRONG_INPUT


def main() -> None:
    """Run the command ``sizing``."""
    sys.exit(run())
