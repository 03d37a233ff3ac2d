#!/usr/bin/env python3
"""Write the tables of docs/performance.md between its marks from a table of tools/bench.

usage: page.py BENCH.csv docs/performance.md
"""
import csv
import math
import sys

RIDES = ["plain_edges", "valved_random", "voiding_washboard", "brake_dive"]
KERNELS = ["avx512", "avx2", "baseline"]


def table(head, rows):
    lines = ["| " + " | ".join(head) + " |", "| " + " | ".join("---" for _ in head) + " |"]
    return lines + ["| " + " | ".join(row) + " |" for row in rows]


def number(value, digits=3):
    return "-" if value is None or not math.isfinite(value) else f"{value:.{digits}g}"


def best(rows, ride, wanted):
    fitting = [float(r["time_ms"]) for r in rows if r["ride"] == ride and r["fits"] == "1" and wanted(r)]
    return min(fitting) if fitting else None


def against_cvode(rows):
    out, ratios = [], {}
    for ride in RIDES:
        other = best(rows, ride, lambda r: r["method"].startswith("cvode"))
        alone = best(rows, ride, lambda r: r["method"].startswith("rodas") and r["batch"] == "1")
        line = [ride.replace("_", " "), number(other), f"{number(alone)} ({other/alone:.1f} times)"]
        ratios.setdefault("alone", []).append(other/alone)
        for kernel in KERNELS:
            ms = best(rows, ride, lambda r: r["method"].startswith("rodas") and r["batch"] != "1" and r["kernel"] == kernel)
            line.append(f"{number(ms)} ({other/ms:.0f})" if ms else "-")
            if ms:
                ratios.setdefault(kernel, []).append(other/ms)
        out.append(line)
    mean = {k: math.exp(sum(map(math.log, v))/len(v)) for k, v in ratios.items()}
    out.append(["geometric mean", "", f"{mean['alone']:.1f} times"] + [f"{mean[k]:.0f}" if k in mean else "-" for k in KERNELS])
    return table(["ride", "CVODE, ms", "ours alone, ms"] + [f"in a batch, {k}, ms a ride" for k in KERNELS], out)


def ladder(rows):
    out = []
    for ride in RIDES:
        for r in rows:
            if r["ride"] == ride and r["method"] == "rodas4" and r["batch"] == "1":
                out.append([ride.replace("_", " "), f"{float(r['tolerance_1']):.0e}", number(float(r["time_ms"])),
                            number(float(r["travel_error_mm"]), 2), number(float(r["peak_error_percent"]), 2), r["steps"]])
    return table(["ride", "tolerance", "ms", "travel off by, mm rms", "peak acceleration off by, %", "steps"], out)


def others(rows):
    out = []
    for r in rows:
        if r["method"] == "right_hand_side_ns_a_lane":
            out.append([f"right-hand side, {r['ride'].replace('_', ' ')}, {r['kernel']}", f"{float(r['time_ms']):.1f} ns a lane"])
    for name, rows_of in (("length_", "random road, {} m"), ("rows_", "the same, {} rows"), ("threads_", "the same, 512 rows, {} threads")):
        for r in rows:
            if r["ride"] == "growth" and r["method"].startswith(name):
                out.append([rows_of.format(r["method"].split("_")[1]), f"{float(r['time_ms']):.0f} ms"])
    for r in rows:
        if r["ride"] == "season":
            out.append([f"{r['batch']} settings over six 10 s roads with measures, two threads", f"{float(r['time_ms'])/1e3:.1f} s"])
        if r["ride"] == "start":
            out.append([f"`{r['method']}` from start to end", f"{float(r['time_ms']):.1f} ms"])
    return table(["what", "time"], out)


def main():
    path, page = sys.argv[1:]
    with open(path, encoding="utf-8") as f:
        lines = f.read().splitlines()
    machine = dict(line[2:].split(" = ", 1) for line in lines if line.startswith("# "))
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    where = f"Measured on: {machine['machine']}, gcc {machine['compiler']}, GSL {machine['gsl']}, {machine['kernel']} the best kernel."
    parts = {"machine": [where], "cvode": against_cvode(rows), "ladder": ladder(rows), "others": others(rows)}
    with open(page, encoding="utf-8") as f:
        text = f.read()
    for name, part in parts.items():
        first, last = f"<!-- {name} -->\n", f"<!-- end {name} -->"
        before, rest = text.split(first)
        text = before + first + "\n".join(part) + "\n" + last + rest.split(last)[1]
    with open(page, "w", encoding="utf-8") as f:
        f.write(text)


main()
