"""A second computation of what the program answers, by general-purpose libraries.

Writes `computed.csv` beside itself: topic, input, expected answer, tolerance and the library call
with its version. The test program `src/calc/tests/reference` runs every row. To make it again:

    python3 -m venv venv
    venv/bin/pip install psychrolib==2.5.0 fluids==1.3.1 scipy==1.17.1 lifelines==0.30.3 \
        python-dateutil==2.9.0.post0 pandapower==3.5.6
    venv/bin/python tests/reference/second/compute.py

The inputs come from a fixed seed, so that the file changes only when a library does.
"""

import csv
import json
import math
import random
from datetime import date, datetime, timedelta
from importlib.metadata import version
from pathlib import Path
from zoneinfo import ZoneInfo

import fluids.filters
import lifelines
import numpy
import pandapower
import psychrolib
from dateutil.relativedelta import relativedelta
from dateutil.rrule import rrulestr
from scipy import integrate, optimize, stats

rng = random.Random(20261125)
rows = []


def add(topic, given, expected, library, tol_rel=1e-6, tol_abs=1e-9):
    name = f"{topic}-{sum(1 for row in rows if row[1] == topic) + 1}"
    rows.append(
        [name, topic, json.dumps(given), json.dumps(expected), tol_rel, tol_abs, library]
    )


def of(package, call):
    return f"{package} {version(package)} {call}"


def air():
    psychrolib.SetUnitSystem(psychrolib.SI)
    for altitude in (0, 400, 1600, 2500, 3500):
        for celsius in (-20.0, 5.0, 20.0, 38.0, 60.0):
            pressure = psychrolib.GetStandardAtmPressure(altitude)
            dry = psychrolib.GetDryAirDensity(celsius, pressure)
            add(
                "air_density",
                {"temperature_c": celsius, "altitude_m": altitude},
                {"dry_density_kg_m3": dry, "pressure_pa": pressure},
                of("psychrolib", "GetStandardAtmPressure, GetDryAirDensity"),
                2e-4,
            )
    for humidity in (0.1, 0.35, 0.6, 0.95):
        for celsius in (-5.0, 15.0, 32.0, 45.0):
            ratio = psychrolib.GetHumRatioFromRelHum(celsius, humidity, 98000.0)
            moist = psychrolib.GetMoistAirDensity(celsius, ratio, 98000.0)
            add(
                "air_density",
                {
                    "temperature_c": celsius,
                    "relative_humidity_percent": round(humidity * 100),
                    "pressure_pa": 98000.0,
                },
                {"moist_density_kg_m3": moist},
                of("psychrolib", "GetHumRatioFromRelHum, GetMoistAirDensity"),
                5e-4,
            )


def screens():
    for open_area in (0.32, 0.43, 0.55, 0.68, 0.76):
        for reynolds in (30.0, 150.0, 380.0):
            k = fluids.filters.round_edge_screen(open_area, reynolds)
            add(
                "screen",
                {
                    "open_area_fraction": open_area,
                    "correlation": "round_edge_screen",
                    "reynolds": reynolds,
                    "velocity_m_s": 2.5,
                    "density_kg_m3": 1.2041,
                },
                {"loss_coefficient": k, "pressure_loss_pa": k * 1.2041 * 2.5**2 / 2},
                of("fluids", "filters.round_edge_screen"),
                2e-3,
            )


def running_speed():
    for _ in range(20):
        synchronous = rng.choice([3600, 1800, 1200, 900])
        full_load = round(synchronous * rng.uniform(0.90, 0.985))
        rated = rng.choice([93.2, 124.3, 186.4, 248.6, 372.8, 559.3])
        at = round(synchronous * rng.uniform(0.88, 0.98))
        power = round(rated * rng.uniform(0.5, 1.05), 1)
        torque = rated / full_load
        load = power / at

        def balance(n):
            slip = (synchronous - n) / (synchronous - full_load)
            return torque * slip - load * (n / at) ** 2

        n = optimize.brentq(balance, 1.0, synchronous, xtol=1e-10)
        add(
            "running_speed",
            {
                "motor_power_w": rated,
                "synchronous_speed_rpm": synchronous,
                "motor_speed_rpm": full_load,
                "load_power_w": power,
                "load_speed_rpm": at,
            },
            {"running_speed_rpm": n, "shaft_power_w": power * (n / at) ** 3},
            of("scipy", "optimize.brentq on the torque balance"),
            1e-7,
        )


def lives():
    for size in (5, 12, 40, 120):
        for shape in (0.8, 1.5, 3.2):
            ages = [round(5000 * rng.weibullvariate(1, shape) + 1, 1) for _ in range(size)]
            end = sorted(ages)[int(size * 0.75)]
            failures = [age for age in ages if age <= end]
            censored = [end for age in ages if age > end]
            fit = lifelines.WeibullFitter().fit(
                numpy.array(failures + censored),
                numpy.array([1] * len(failures) + [0] * len(censored)),
            )
            add(
                "weibull_mle_right_censored",
                {"failures": failures, "censored": censored},
                {"beta": float(fit.rho_), "eta": float(fit.lambda_)},
                of("lifelines", "WeibullFitter"),
                2e-4,
            )
    for failures in (0, 1, 3, 9, 25):
        for confidence in (0.8, 0.95):
            hours = 12500.0
            tail = 1 - confidence
            given = {
                "total_time": hours,
                "failures": failures,
                "confidence": confidence,
                "sides": "two",
                "termination": "time",
            }
            if failures:
                add(
                    "exp_mtbf",
                    given,
                    {
                        "mtbf": hours / failures,
                        "lower": 2 * hours / stats.chi2.ppf(1 - tail / 2, 2 * failures + 2),
                        "upper": 2 * hours / stats.chi2.ppf(tail / 2, 2 * failures),
                    },
                    of("scipy", "stats.chi2.ppf"),
                )
    for units, rate, lead, target in ((3, 0.4, 0.5, 0.9), (40, 0.12, 0.1, 0.95), (7, 1.1, 0.3, 0.999)):
        mean = units * rate * lead
        add(
            "poisson_spares",
            {
                "units": units,
                "failures_per_unit_year": rate,
                "lead_time_years": lead,
                "target": target,
            },
            {"mean_demand": mean, "stock": int(stats.poisson.ppf(target, mean))},
            of("scipy", "stats.poisson.ppf"),
        )


def replacement():
    for beta, eta, planned, failed in ((1.8, 9000, 120, 900), (3.0, 4000, 50, 400), (4.5, 20000, 300, 700)):

        def rate(t):
            survive = math.exp(-((t / eta) ** beta))
            area = integrate.quad(lambda x: math.exp(-((x / eta) ** beta)), 0, t, epsabs=1e-10)[0]
            return (planned * survive + failed * (1 - survive)) / area

        best = optimize.minimize_scalar(
            rate, bounds=(eta * 0.02, eta * 3), method="bounded", options={"xatol": 1e-6}
        )
        add(
            "age_replacement",
            {"beta": beta, "eta": eta, "cost_preventive": planned, "cost_failure": failed},
            {"optimal_age": best.x, "cost_rate": best.fun},
            of("scipy", "optimize.minimize_scalar and integrate.quad"),
            2e-3,
        )


RULES = [
    "FREQ=MONTHLY;BYDAY=2TU",
    "FREQ=MONTHLY;BYDAY=-1FR",
    "FREQ=MONTHLY;INTERVAL=2;BYMONTHDAY=-1",
    "FREQ=YEARLY;BYMONTH=4,10;BYDAY=1MO",
    "FREQ=YEARLY;BYWEEKNO=14;BYDAY=WE",
    "FREQ=YEARLY;BYYEARDAY=1,100,-1",
    "FREQ=WEEKLY;INTERVAL=3;BYDAY=MO,TH;WKST=SU",
    "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1",
    "FREQ=YEARLY;INTERVAL=2;BYMONTH=2;BYMONTHDAY=29",
    "FREQ=DAILY;INTERVAL=10;COUNT=7",
    "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=2,-2",
    "FREQ=YEARLY;BYMONTH=11;BYDAY=4TH",
]


def dates():
    for rule in RULES:
        start = date(rng.randint(2018, 2026), rng.randint(1, 12), rng.randint(1, 28))
        moments = rrulestr(rule, dtstart=datetime(start.year, start.month, start.day))
        first = []
        for moment in moments:
            if len(first) == 12 or moment.year > 2300:
                break
            first.append(moment.date().isoformat())
        add(
            "rrule_date",
            {"dtstart": start.isoformat(), "rrule": rule, "first_n": 12},
            first,
            of("python-dateutil", "rrule.rrulestr"),
        )
    for unit, count in (("months", 1), ("months", 3), ("years", 1), ("weeks", 6), ("days", 45)):
        anchor = date(2024, 1, 31) + timedelta(days=rng.randint(0, 400))
        grid = [anchor + relativedelta(**{unit: count * i}) for i in range(15)]
        add(
            "interval_anchored",
            {"anchor": anchor.isoformat(), "every": {unit: count}, "first_n": 15},
            [day.isoformat() for day in grid],
            of("python-dateutil", "relativedelta"),
        )
    utc = ZoneInfo("UTC")
    for zone in ("America/New_York", "Europe/Dublin", "Australia/Lord_Howe", "Asia/Kathmandu"):
        for _ in range(5):
            local = datetime(2026, 1, 1) + timedelta(minutes=30 * rng.randint(0, 2 * 24 * 365))
            moment = local.replace(tzinfo=ZoneInfo(zone))
            there = moment.astimezone(utc)
            add(
                "local_to_utc",
                {"local": local.isoformat(), "tz": zone},
                {"utc": there.strftime("%Y-%m-%dT%H:%M:%SZ")},
                "CPython zoneinfo with tzdata " + version("tzdata"),
            )


def drops():
    """A load flow of one line and one load that takes exactly these amperes, against the drop that the
    program adds up from the same resistance.
    """
    for volts, amps, ohm_per_kft, feet in (
        (208, 12, 1.2, 120),
        (480, 20, 1.2, 250),
        (480, 42, 0.49, 180),
        (240, 30, 0.78, 90),
    ):
        net = pandapower.create_empty_network(f_hz=60)
        source = pandapower.create_bus(net, volts / 1000)
        load = pandapower.create_bus(net, volts / 1000)
        pandapower.create_ext_grid(net, source)
        pandapower.create_line_from_parameters(
            net,
            source,
            load,
            length_km=feet * 0.0003048,
            r_ohm_per_km=ohm_per_kft / 0.3048,
            x_ohm_per_km=1e-6,
            c_nf_per_km=0,
            max_i_ka=1,
        )
        # The load that takes these amperes at the volts that arrive.
        watts = math.sqrt(3) * volts * amps - 3 * amps**2 * ohm_per_kft * feet / 1000
        pandapower.create_load(net, load, p_mw=watts / 1e6)
        pandapower.runpp(net, tolerance_mva=1e-10)
        fell = volts * (1 - float(net.res_bus.vm_pu.at[load]))
        add(
            "voltage_drop",
            {
                "amps": amps,
                "method": "R",
                "ohm_per_kft": ohm_per_kft,
                "one_way_ft": feet,
                "phases": 3,
                "volts": volts,
            },
            {"drop_v": fell},
            of("pandapower", "runpp, one line and one load at power factor 1"),
        )


for part in (air, screens, running_speed, lives, replacement, dates, drops):
    part()

out = Path(__file__).with_name("computed.csv")
with out.open("w", newline="", encoding="utf-8") as file:
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(["id", "topic", "input_json", "expected_json", "tol_rel", "tol_abs", "library"])
    writer.writerows(rows)
print(f"{len(rows)} rows in {out}")
