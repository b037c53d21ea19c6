"""The one sequential part of a simulated year: a diagonal recursion with the rooms' controls in each hour.

Everything here is compiled; arrays are (hours, zones), (zones, modes) or (hours, modes) as said below.
"""

# mypy: disable-error-code="no-untyped-def"
from __future__ import annotations

import numpy as np
from numba import njit

from retrofit_desk.physics.linear import solve_in_place

FLOATING, HEATING, COOLING, HEATING_FULL, COOLING_FULL = 0, 1, 2, 3, 4
MOST_ROUNDS = 60
ALL_AT_ONCE_ROUNDS = 20  # then one zone a round, the least numbered first, which cannot cycle
TOLERANCE_W, TOLERANCE_K = 1e-9, 1e-9
SUMS_MAY_REORDER = {"reassoc", "contract"}  # infinities of set-points keep their meaning


@njit(cache=True, nogil=True, fastmath=SUMS_MAY_REORDER)
def _free_answers(t, z, rows, bases, controlled, mean, free):
    """Mean air and controlled temperature of each zone without air and plant; only what is asked for."""
    mean_row, control_row = rows
    for k in range(mean.shape[0]):
        m, c = 0.0, 0.0
        if controlled[k]:
            for i in range(z.shape[0]):
                m += mean_row[k, i] * z[i]
                c += control_row[k, i] * z[i]
        else:
            for i in range(z.shape[0]):
                m += mean_row[k, i] * z[i]
        mean[k], free[k] = m + bases[0][t, k], c + bases[1][t, k]


@njit(cache=True, nogil=True, inline="always")
def _open_windows(t, opened, outdoor_c, room_c, heat_per_flow, flow_w_k, out_open):
    """Open and close by the last hour's room air; adds to `flow_w_k`."""
    zone, wind, stack, above, below, is_open = opened
    for o in range(zone.shape[0]):
        k = zone[o]
        warmer = room_c[k] - outdoor_c[t]
        if wind[t, o] < 0.0 or warmer <= 0.0 or room_c[k] < below[o]:
            is_open[o] = 0
        elif room_c[k] > above[o]:
            is_open[o] = 1
        flow = np.sqrt(wind[t, o] + stack[o] * warmer) if is_open[o] == 1 else 0.0
        flow_w_k[k] += flow * heat_per_flow
        if out_open.shape[0] > 0:
            out_open[t, o] = flow


@njit(cache=True, nogil=True)
def _couple_air(flow_w_k, response, same_entry, coupled):
    """For these flows: the air's heat per K (to outdoors) and per W of heat and cold, with its echo.

    `same_entry`: heat and cold enter at the same nodes.

    `coupled` is filled: flow it holds for, per K (zones, zones), per W of heat, per W of cold, and K/W of the
    controlled temperatures by heat and by cold with the air's answer in them.
    """
    flow, per_k, per_heat, per_cold, power_h, power_c = coupled
    zones = flow.shape[0]
    a = np.empty((zones, zones))
    for k in range(zones):
        flow[k] = flow_w_k[k]
        for j in range(zones):
            same = 1.0 if k == j else 0.0
            a[k, j] = flow[k] * response[0, k, j] + same
            per_k[k, j] = flow[k] * same
    solve_in_place(a, per_k, zones)
    _echo(per_k, response[1], response[3], response[4], per_heat, power_h)
    if same_entry:
        per_cold[:, :], power_c[:, :] = per_heat, power_h
    else:
        _echo(per_k, response[2], response[3], response[5], per_cold, power_c)


@njit(cache=True, nogil=True, inline="always")
def _echo(per_k, air_by_power, felt_by_air, felt_by_power, per_power, power):
    """Air's heat per W of power, and what the power does to the controlled temperatures with it."""
    zones = per_k.shape[0]
    for k in range(zones):
        for j in range(zones):
            per_power[k, j] = 0.0
        for q in range(zones):
            f = per_k[k, q]
            for j in range(zones):
                per_power[k, j] -= f * air_by_power[q, j]
    for k in range(zones):
        for j in range(zones):
            power[k, j] = felt_by_power[k, j]
        for q in range(zones):
            f = felt_by_air[k, q]
            for j in range(zones):
                power[k, j] += f * per_power[q, j]


@njit(cache=True, nogil=True, inline="always")
def _breathe(outdoor_c, flow_w_k, response, same_entry, mean, free, coupled, air_w):
    """Heat by outdoor air without plant, and its effect on the free answers."""
    zones = mean.shape[0]
    for k in range(zones):
        if coupled[0][k] != flow_w_k[k]:
            _couple_air(flow_w_k, response, same_entry, coupled)
            break
    per_k = coupled[1]
    for k in range(zones):
        s = 0.0
        for q in range(zones):
            s += per_k[k, q] * (outdoor_c - mean[q])
        air_w[k] = s
    for k in range(zones):
        for q in range(zones):
            free[k] += response[3, k, q] * air_w[q]


@njit(cache=True, nogil=True, inline="always")
def _held_powers(t, state, controls, free, coupled, power, spare):
    """Plant power of every zone for the given states, cold negative."""
    heat_to, cool_to, limit_h, limit_c = controls
    power_h, power_c = coupled[4], coupled[5]
    held, a, b = spare
    zones, m = state.shape[0], 0
    for k in range(zones):
        power[k] = 0.0
        if state[k] == HEATING_FULL:
            power[k] = limit_h[k]
        elif state[k] == COOLING_FULL:
            power[k] = -limit_c[k]
        elif state[k] != FLOATING:
            held[m] = k
            m += 1
    for i in range(m):
        k = held[i]
        s = (heat_to[t, k] if state[k] == HEATING else cool_to[t, k]) - free[k]
        for j in range(zones):
            s -= (power_h[k, j] if power[j] > 0.0 else power_c[k, j]) * power[j]
        b[i, 0] = s
        for c in range(m):
            a[i, c] = power_h[k, held[c]] if state[held[c]] == HEATING else power_c[k, held[c]]
    if m == 1:
        power[held[0]] = b[0, 0] / a[0, 0]
    elif m > 1:
        solve_in_place(a, b, m)
        for i in range(m):
            power[held[i]] = b[i, 0]


@njit(cache=True, nogil=True)
def _next_state(state, power, temp, heat_to, cool_to, limit_h, limit_c):
    """The state a zone should change to; the same where it is right."""
    new = state
    if state == FLOATING:
        if temp < heat_to - TOLERANCE_K and limit_h > 0.0:
            new = HEATING
        elif temp > cool_to + TOLERANCE_K and limit_c > 0.0:
            new = COOLING
    elif state == HEATING and not -TOLERANCE_W <= power <= limit_h + TOLERANCE_W:
        new = FLOATING if power < 0.0 else HEATING_FULL
    elif state == COOLING and not -limit_c - TOLERANCE_W <= power <= TOLERANCE_W:
        new = FLOATING if power > 0.0 else COOLING_FULL
    elif state == HEATING_FULL and temp > heat_to + TOLERANCE_K:
        new = HEATING
    elif state == COOLING_FULL and temp < cool_to - TOLERANCE_K:
        new = COOLING
    return new


@njit(cache=True, nogil=True, inline="always")
def _settle(t, state, controls, free, coupled, power, spare):
    """Find every zone's state and power for the hour; False if no rest was found."""
    heat_to, cool_to, limit_h, limit_c = controls
    power_h, power_c = coupled[4], coupled[5]
    zones = state.shape[0]
    for k in range(zones):
        off_h = heat_to[t, k] == -np.inf and (state[k] == HEATING or state[k] == HEATING_FULL)
        off_c = cool_to[t, k] == np.inf and (state[k] == COOLING or state[k] == COOLING_FULL)
        if off_h or off_c:
            state[k] = FLOATING
    for attempt in range(MOST_ROUNDS):
        _held_powers(t, state, controls, free, coupled, power, spare)
        settled = True
        for k in range(zones):
            temp = free[k]
            for j in range(zones):
                temp += (power_h[k, j] if power[j] > 0.0 else power_c[k, j]) * power[j]
            new = _next_state(state[k], power[k], temp, heat_to[t, k], cool_to[t, k], limit_h[k], limit_c[k])
            if new != state[k] and (settled or attempt < ALL_AT_ONCE_ROUNDS):
                state[k] = new
                settled = False
        if settled:
            return True
    return False


@njit(cache=True, nogil=True, inline="always")
def _air_and_rooms(coupled, response, mean, power, air_w, room_c):
    """Add the plant's echo to the outdoor air's heat; then the mean room air."""
    per_heat, per_cold = coupled[2], coupled[3]
    zones = mean.shape[0]
    for k in range(zones):
        for j in range(zones):
            air_w[k] += (per_heat[k, j] if power[j] > 0.0 else per_cold[k, j]) * power[j]
    for k in range(zones):
        s = mean[k]
        for j in range(zones):
            s += response[0, k, j] * air_w[j] + response[1 if power[j] > 0.0 else 2, k, j] * power[j]
        room_c[k] = s


@njit(cache=True, nogil=True, fastmath=SUMS_MAY_REORDER, inline="always")
def _enter(work, into_air, air_in, into_star, star_in, given, given_in):
    """Heat of one zone into the modes; what is nothing is not multiplied."""
    if into_star != 0.0:
        for i in range(work.shape[0]):
            work[i] += star_in[i] * into_star
    if given != 0.0:
        for i in range(work.shape[0]):
            work[i] += air_in[i] * into_air + given_in[i] * given
    else:
        for i in range(work.shape[0]):
            work[i] += air_in[i] * into_air


@njit(cache=True, nogil=True, fastmath=SUMS_MAY_REORDER)
def _advance(t, z, forcing, gains, modal, entering, air_w, power, work, bar, all_means):
    """One exact hour of all modes: `z` becomes the hour's end; its mean is kept, or added up in `bar`."""
    decay, gain, mean_of_state, mean_of_forcing = modal
    air_in, star_in, heat_in, cool_in = entering
    modes = z.shape[0]
    for i in range(modes):
        work[i] = forcing[t, i]
    for k in range(power.shape[0]):
        given_in = heat_in[k] if power[k] > 0.0 else cool_in[k]
        _enter(work, air_w[k] + gains[0][t, k], air_in[k], gains[1][t, k], star_in[k], power[k], given_in)
    if all_means.shape[0] > 0:
        for i in range(modes):
            all_means[t, i] = mean_of_state[i] * z[i] + mean_of_forcing[i] * work[i]
    else:
        for i in range(modes):
            bar[i] += mean_of_state[i] * z[i] + mean_of_forcing[i] * work[i]
    for i in range(modes):  # apart from the mean: few enough arrays in a loop for the compiler to use vectors
        z[i] = decay[i] * z[i] + gain[i] * work[i]


@njit(cache=True, nogil=True)
def _ever_controlled(controls):
    """Which zones have a set-point in any hour."""
    heat_to, cool_to = controls[0], controls[1]
    found = np.zeros(heat_to.shape[1], dtype=np.bool_)
    for k in range(found.shape[0]):
        for t in range(heat_to.shape[0]):
            if heat_to[t, k] > -np.inf or cool_to[t, k] < np.inf:
                found[k] = True
                break
    return found


@njit(cache=True, nogil=True)
def step_hours(
    last, forcing, gains, modal, entering, rows, bases, response, air, controls, opened, carried, out
):
    """Step from the first hour to before `last`; returns the hours whose controls found no rest.

    forcing (hours, modes); gains: to air and radiant (hours, zones) in W; modal: decay, gain, mean of
    state, mean of forcing (modes); entering: by air, star, heat, cold (zones, modes); rows: mean air,
    controlled (zones, modes) and bases the same by forcing and gains (hours, zones); response (6, zones,
    zones) in K/W: mean by air, heat, cold, then controlled by the same; air: conductance to outdoors, less
    what drawn shades take from the windows' (hours, zones), outdoor temperature, J/m3K; controls: set-
    points (hours, zones), -inf and inf where off, limits (zones); opened: zone, wind (hours, openings),
    stack, open above, close below, open; carried over and changed: modes, states, room air; out, empty
    where not wanted: mean air, power, air heat (hours, zones), opening flow, mean modes (hours, modes);
    where those are not wanted, their sum (modes).
    """
    air_w_k, outdoor_c, heat_per_flow = air
    z, state, room_c = carried
    out_mean, out_power, out_air, out_open, all_means, bar = out
    zones, wanted, unsettled = state.shape[0], out_mean.shape[0] > 0, 0
    square = (zones, zones)
    coupled = (
        np.full(zones, np.nan), np.empty(square), np.empty(square), np.empty(square), np.empty(square),
        np.empty(square),
    )  # fmt: skip
    spare = (np.empty(zones, dtype=np.int64), np.empty(square), np.empty((zones, 1)))
    mean, free, power, air_w = np.empty(zones), np.empty(zones), np.zeros(zones), np.zeros(zones)
    flow, work = np.empty(zones), np.empty(z.shape[0])
    same_entry = np.array_equal(response[1], response[2]) and np.array_equal(response[4], response[5])
    controlled = _ever_controlled(controls)
    for t in range(last):
        for k in range(zones):
            flow[k] = air_w_k[t, k]
        _open_windows(t, opened, outdoor_c, room_c, heat_per_flow, flow, out_open)
        _free_answers(t, z, rows, bases, controlled, mean, free)
        _breathe(outdoor_c[t], flow, response, same_entry, mean, free, coupled, air_w)
        if not _settle(t, state, controls, free, coupled, power, spare):
            unsettled += 1
        _air_and_rooms(coupled, response, mean, power, air_w, room_c)
        if wanted:
            for k in range(zones):
                out_mean[t, k], out_power[t, k], out_air[t, k] = room_c[k], power[k], air_w[k]
        _advance(t, z, forcing, gains, modal, entering, air_w, power, work, bar, all_means)
    return unsettled
