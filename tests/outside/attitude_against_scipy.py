# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds the attitude conventions of src/import against scipy.spatial.transform.Rotation. Usage:
attitude_against_scipy.py DRIVER

Exit status 77: scipy is not installed, nothing was checked.
"""
import subprocess
import sys

try:
    import numpy as np
    from scipy.spatial.transform import Rotation
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

LEAST = 1e-12  # of a unit vector
QUATERNION, COUNTED, VECTOR, ANGLES = "1234"
ORDERS = ["ypr", "yrp", "pyr", "ryp", "rpy", "pry"]  # of yaw, pitch and roll, the outermost first
driver = sys.argv[1]
rng = np.random.default_rng(20240611)
failures = 0


def conventions(form, rows):
    """(what it is, up of each row) of every convention of the form."""
    answer = subprocess.run([driver, form], input=rows.tobytes(), stdout=subprocess.PIPE, check=True)
    blocks = np.frombuffer(answer.stdout).reshape(-1, 6 + 3 * len(rows))
    return [(block[:6], block[6:].reshape(-1, 3)) for block in blocks]


def hold(what, got, rotation):
    """rotation turns phone to world: the world's z in the phone's axes is its inverse's."""
    global failures
    off = float(np.max(np.abs(got - rotation.inv().apply([0, 0, 1]))))
    good = off <= LEAST  # false for NaN too
    failures += not good
    if not good:
        print(f"FAIL {what}: off by {off:.1e}")


def check_quaternions():
    turns = Rotation.random(400, rng)
    xyzw = turns.as_quat()
    xyzw *= np.sign(rng.normal(size=(400, 1)))  # both signs are one turn
    wxyz = np.roll(xyzw, 1, axis=1)
    for form, rows in [(QUATERNION, wxyz), (COUNTED, wxyz), (COUNTED, xyzw)]:
        seen = 0
        for (w_last, inverse, *_), up in conventions(form, np.ascontiguousarray(rows)):
            if bool(w_last) == (rows is xyzw):
                hold(f"quaternion, form {form}, w last {w_last}, inverse {inverse}", up,
                     turns.inv() if inverse else turns)
                seen += 1
        assert seen == 2
    plus = xyzw * np.sign(xyzw[:, 3:])
    vectors = np.hstack([plus[:, :3], np.zeros((400, 1))])
    for (_, inverse, *_), up in conventions(VECTOR, vectors):
        hold(f"rotation vector, inverse {inverse}", up, turns.inv() if inverse else turns)


def check_angles():
    rows = np.hstack([rng.uniform(-3, 3, size=(100, 3)), np.zeros((100, 1))])
    seen = set()
    for (_, _, factor, order, axes, signs), up in conventions(ANGLES, rows):
        order, axes, signs = int(order), int(axes), int(signs)
        seen.add((factor, order, axes, signs))
        axis = {"r": "XY"[axes], "p": "YX"[axes], "y": "Z"}
        value = {name: rows[:, i] * (-1 if signs >> i & 1 else 1) * factor for i, name in enumerate("rpy")}
        names = ORDERS[order]
        turns = Rotation.from_euler("".join(axis[n] for n in names), np.column_stack([value[n] for n in names]))
        hold(f"angles, order {names}, axes {axes}, signs {signs}, factor {factor:.4f}", up, turns)
    assert len(seen) == 2 * 6 * 2 * 8
    assert {factor for factor, *_ in seen} == {1.0, np.pi / 180}


check_quaternions()
check_angles()
print("every convention as scipy has it" if failures == 0 else f"{failures} conventions differ")
sys.exit(failures > 0)
