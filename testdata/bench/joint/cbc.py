#!/usr/bin/env python3
"""Runs CBC, one thread, on the models that TestWriteJointModels wrote.

    cbc.py SECONDS MODEL.lp...

A line a model, tab-separated: name, cost of the best plan, proven bound, gap in percent
of the cost, seconds of CPU (user and system) of the cbc process.

CBC 2.10.8 may report the cost that its preprocessed model had, and says so ("changed
objective"); the cost here is that of the plan it hands over. Its preprocessing is off:
with it, several of the small models came back a little above or below their optimum.
"""
import os
import re
import resource
import subprocess
import sys
import tempfile

for path in sys.argv[2:]:
    with tempfile.NamedTemporaryFile(suffix=".txt") as plan:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        said = subprocess.run(
            ["cbc", path, "-threads", "0", "-timemode", "cpu", "-sec", sys.argv[1], "-ratio", "0", "-allow", "1e-9",
             "-preprocess", "off", "-solve", "-solution", plan.name], capture_output=True, text=True).stdout
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        first = plan.readline().decode()
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    cost, bound = re.search(r"objective value\s+(\S+)", first), re.search(r"Lower bound:\s+(\S+)", said)
    name = os.path.basename(path)[:-3]
    if not cost or "Postprocessing changed objective" in said:
        print(name, "none", "none", "none", f"{cpu:.2f}", sep="\t", flush=True)
        continue
    c = float(cost.group(1))
    b = float(bound.group(1)) if bound else c  # no bound is printed once the plan is proven
    print(name, f"{c:.9g}", f"{b:.9g}", f"{100 * (c - b) / c if c else 0:.4f}", f"{cpu:.2f}", sep="\t", flush=True)
