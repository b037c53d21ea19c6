"""The one sequential part of a simulated year: a diagonal recursion with the rooms' controls in each hour."""

from __future__ import annotations

import numpy as np
from numba import njit

FLOATING, HEATING, COOLING, HEATING_FULL, COOLING_FULL = 0, 1, 2, 3, 4
MOST_ROUNDS = 60
ALL_AT_ONCE_ROUNDS = 20  # then one zone a round, the least numbered first, which cannot cycle
TOLERANCE_W, TOLERANCE_K = 1e-9, 1e-9


@njit(cache=True, nogil=True)
def solve_in_place(a, b, size):  # type: ignore[no-untyped-def]
    """Solve a x = b by elimination with row pivots; b (size, m) becomes x."""
    for i in range(size):
        p = i
        for r in range(i + 1, size):
            if abs(a[r, i]) > abs(a[p, i]):
                p = r
        if p != i:
            for c in range(size):
                a[i, c], a[p, c] = a[p, c], a[i, c]
            for c in range(b.shape[1]):
                b[i, c], b[p, c] = b[p, c], b[i, c]
        for r in range(i + 1, size):
            f = a[r, i] / a[i, i]
            if f != 0.0:
                for c in range(i + 1, size):
                    a[r, c] -= f * a[i, c]
                for c in range(b.shape[1]):
                    b[r, c] -= f * b[i, c]
    for i in range(size - 1, -1, -1):
        for c in range(b.shape[1]):
            s = b[i, c]
            for k in range(i + 1, size):
                s -= a[i, k] * b[k, c]
            b[i, c] = s / a[i, i]


@njit(cache=True, nogil=True)
def _held_powers(state, target, free, response_h, response_c, limit_h, limit_c, power, held, a, b):  # type: ignore[no-untyped-def]
    """Plant power of every zone for the given states."""
    zones = state.shape[0]
    m = 0
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
        s = target[k] - free[k]
        for j in range(zones):
            if power[j] != 0.0:
                s -= (response_h[k, j] if power[j] > 0.0 else response_c[k, j]) * power[j]
        b[i, 0] = s
    for i in range(m):
        for j in range(m):
            q = held[j]
            a[i, j] = response_h[held[i], q] if state[q] == HEATING else response_c[held[i], q]
    if m == 1:
        power[held[0]] = b[0, 0] / a[0, 0]
    elif m > 1:
        solve_in_place(a, b[:, :1], m)
        for i in range(m):
            power[held[i]] = b[i, 0]


@njit(cache=True, nogil=True)
def _next_state(state, power, temp, heat_to, cool_to, limit_h, limit_c):  # type: ignore[no-untyped-def]
    """The state a zone should change to; the same where it is right."""
    if state == FLOATING:
        if temp < heat_to - TOLERANCE_K and limit_h > 0.0:
            return HEATING
        if temp > cool_to + TOLERANCE_K and limit_c > 0.0:
            return COOLING
    elif state == HEATING:
        if power < -TOLERANCE_W:
            return FLOATING
        if power > limit_h + TOLERANCE_W:
            return HEATING_FULL
    elif state == COOLING:
        if power > TOLERANCE_W:
            return FLOATING
        if power < -limit_c - TOLERANCE_W:
            return COOLING_FULL
    elif state == HEATING_FULL:
        if temp > heat_to + TOLERANCE_K:
            return HEATING
    elif temp < cool_to - TOLERANCE_K:
        return COOLING
    return state


@njit(cache=True, nogil=True)
def step_hours(  # type: ignore[no-untyped-def]
    first,
    last,
    forcing,  # (hours, modes)
    decay,
    gain,
    mean_of_state,
    mean_of_forcing,  # (modes)
    air_in,
    heat_in,
    cool_in,  # (zones, modes): where outdoor air, heat and cold enter
    mean_row,
    control_row,  # (zones, modes): from the state at the hour's start
    mean_base,
    control_base,  # (hours, zones): from the forcing
    response,  # (6, zones, zones): mean by air, heat, cold; control by air, heat, cold; K/W
    air_w_k,  # (hours, zones)
    outdoor_c,
    heat_to,
    cool_to,  # (hours, zones); -inf, inf where off
    limit_h,
    limit_c,  # (zones)
    open_zone,
    open_wind,
    open_stack,
    open_above,
    open_below,
    heat_per_flow,  # openings
    month,
    z,
    state,
    is_open,
    room_c,  # carried over: modes, zone states, opening states, last mean air
    out_mean,
    out_power,
    out_air_w,
    out_open,  # (hours, zones), openings (hours, openings)
    month_mean,  # (12, modes) sums of the hourly mean modes
    all_means,  # (hours, modes) or (0, 0)
):
    """Step from hour `first` to before `last`; returns the hours whose controls found no rest."""
    zones, modes = mean_row.shape
    unsettled = 0
    a = np.empty((zones, zones))
    b = np.empty((zones, zones + 1))
    left = np.empty((zones, 1 + 2 * zones))
    free = np.empty(zones)
    mean = np.empty(zones)
    target = np.empty(zones)
    power = np.zeros(zones)
    temp = np.empty(zones)
    held = np.empty(zones, dtype=np.int64)
    resp_h = np.empty((zones, zones))
    resp_c = np.empty((zones, zones))
    flow_g = np.empty(zones)
    air_w = np.zeros(zones)
    keep = all_means.shape[0] > 0
    for t in range(first, last):
        ventilated = False
        for k in range(zones):
            flow_g[k] = air_w_k[t, k]
        for o in range(open_zone.shape[0]):
            k = open_zone[o]
            warmer = room_c[k] - outdoor_c[t]
            if open_wind[t, o] < 0.0 or warmer <= 0.0 or room_c[k] < open_below[o]:
                is_open[o] = 0
            elif room_c[k] > open_above[o]:
                is_open[o] = 1
            flow = 0.0
            if is_open[o] == 1:
                flow = np.sqrt(open_wind[t, o] + open_stack[o] * abs(warmer))
                flow_g[k] += flow * heat_per_flow
            if out_open.shape[0] > 0:
                out_open[t, o] = flow
        for k in range(zones):
            s, c = mean_base[t, k], control_base[t, k]
            for i in range(modes):
                s += mean_row[k, i] * z[i]
                c += control_row[k, i] * z[i]
            mean[k], free[k] = s, c
            if flow_g[k] != 0.0:
                ventilated = True
        if ventilated:
            for k in range(zones):
                for j in range(zones):
                    a[k, j] = flow_g[k] * response[0, k, j] + (1.0 if k == j else 0.0)
                    left[k, 1 + j] = -flow_g[k] * response[1, k, j]
                    left[k, 1 + zones + j] = -flow_g[k] * response[2, k, j]
                left[k, 0] = flow_g[k] * (outdoor_c[t] - mean[k])
            solve_in_place(a, left, zones)
        else:
            left[:, :] = 0.0
        for k in range(zones):
            for j in range(zones):
                rh, rc = response[4, k, j], response[5, k, j]
                if ventilated:
                    for q in range(zones):
                        rh += response[3, k, q] * left[q, 1 + j]
                        rc += response[3, k, q] * left[q, 1 + zones + j]
                resp_h[k, j], resp_c[k, j] = rh, rc
                if ventilated:
                    free[k] += response[3, k, j] * left[j, 0]
            if heat_to[t, k] == -np.inf and (state[k] == HEATING or state[k] == HEATING_FULL):
                state[k] = FLOATING
            if cool_to[t, k] == np.inf and (state[k] == COOLING or state[k] == COOLING_FULL):
                state[k] = FLOATING
        settled = False
        for attempt in range(MOST_ROUNDS):
            for k in range(zones):
                target[k] = heat_to[t, k] if state[k] == HEATING else cool_to[t, k]
            _held_powers(state, target, free, resp_h, resp_c, limit_h, limit_c, power, held, a, b)
            settled = True
            for k in range(zones):
                s = free[k]
                for j in range(zones):
                    if power[j] != 0.0:
                        s += (resp_h[k, j] if power[j] > 0.0 else resp_c[k, j]) * power[j]
                temp[k] = s
            for k in range(zones):
                new = _next_state(
                    state[k], power[k], temp[k], heat_to[t, k], cool_to[t, k], limit_h[k], limit_c[k]
                )
                if new != state[k]:
                    state[k] = new
                    settled = False
                    if attempt >= ALL_AT_ONCE_ROUNDS:
                        break
            if settled:
                break
        if not settled:
            unsettled += 1
        for k in range(zones):
            s = left[k, 0]
            for j in range(zones):
                if power[j] > 0.0:
                    s += left[k, 1 + j] * power[j]
                elif power[j] < 0.0:
                    s += left[k, 1 + zones + j] * power[j]
            air_w[k] = s
        for k in range(zones):
            s = mean[k]
            for j in range(zones):
                s += response[0, k, j] * air_w[j]
                s += (response[1, k, j] if power[j] > 0.0 else response[2, k, j]) * power[j]
            room_c[k] = s
            if out_mean.shape[0] > 0:
                out_mean[t, k] = s
                out_power[t, k] = power[k]
                out_air_w[t, k] = air_w[k]
        bar = month[t]
        for i in range(modes):
            f = forcing[t, i]
            for k in range(zones):
                f += air_in[k, i] * air_w[k]
                f += (heat_in[k, i] if power[k] > 0.0 else cool_in[k, i]) * power[k]
            m = mean_of_state[i] * z[i] + mean_of_forcing[i] * f
            z[i] = decay[i] * z[i] + gain[i] * f
            month_mean[bar, i] += m
            if keep:
                all_means[t, i] = m
    return unsettled
