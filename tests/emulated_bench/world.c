/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "world.h"

#include <stddef.h>
#include <string.h>

enum { COUNTS_TOP = 0x7FFFFF, COUNTS_BOTTOM = -0x800000, ALL_BITS = 25 };
static const int64_t SWITCH_OFF_NS = 60000; /* A clock pulse this long switches the amplifier off. */
static const int64_t NEVER = INT64_MAX;

void world_init(struct world *w)
{
    memset(w, 0, sizeof *w);
    w->rate_hz = 80;
    w->settle = 4;
    w->near_at = -1e9;
    w->far_at = 1e9;
    w->break_at = 1e9;
    w->data_high = true;
    w->driver_off = true;
    w->bits_read = ALL_BITS;
    w->direction = 1;
    w->shortest_pulse_ns = w->shortest_gap_ns = w->shortest_setup_ns = NEVER;
    w->last_step_ns = w->direction_changed_ns = -1000000000;
    w->random = 88172645463325252u;
}

/* ---- values by name ---- */

#define VALUE(name) {#name, offsetof(struct world, name)}

static const struct {
    const char *name;
    size_t offset;
} values[] = {
    VALUE(rate_hz), VALUE(settle), VALUE(noise_counts), VALUE(silent), VALUE(frozen), VALUE(data_stuck),
    VALUE(glitch), VALUE(offset_counts), VALUE(slip_every), VALUE(near_at), VALUE(far_at), VALUE(near_held), VALUE(far_held),
    VALUE(emergency), VALUE(break_at),
};

bool world_set(struct world *w, const char *name, double value)
{
    if (strcmp(name, "next_conversion_ns") == 0) { /* Only to a later time than it was. */
        w->next_conversion_ns = (int64_t)value;
        return true;
    }
    for (size_t i = 0; i < sizeof values / sizeof *values; i++) {
        if (strcmp(values[i].name, name) == 0) {
            memcpy((char *)w + values[i].offset, &value, sizeof value);
            return true;
        }
    }
    return false;
}

#define COUNTER(name) \
    if (strcmp(#name, wanted) == 0) { \
        *value = (double)w->name; \
        return true; \
    }

bool world_get(const struct world *w, const char *wanted, double *value)
{
    COUNTER(next_conversion_ns)
    COUNTER(conversions)
    COUNTER(longest_clock_ns)
    COUNTER(switched_off)
    COUNTER(read_wholly)
    COUNTER(overrun)
    COUNTER(position)
    COUNTER(driver_off)
    COUNTER(steps)
    COUNTER(steps_while_off)
    COUNTER(shortest_pulse_ns)
    COUNTER(shortest_gap_ns)
    COUNTER(shortest_setup_ns)
    COUNTER(last_step_ns)
    COUNTER(broken)
    COUNTER(broke_ns)
    for (size_t i = 0; i < sizeof values / sizeof *values; i++) {
        if (strcmp(values[i].name, wanted) == 0) {
            memcpy(value, (const char *)w + values[i].offset, sizeof *value);
            return true;
        }
    }
    return false;
}

/* ---- strand ---- */

void world_strand(struct world *w, const double *steps, const double *counts, size_t knots, double break_at)
{
    w->knots = knots < KNOTS ? knots : KNOTS;
    memcpy(w->knot_steps, steps, w->knots * sizeof *steps);
    memcpy(w->knot_counts, counts, w->knots * sizeof *counts);
    w->break_at = break_at;
    w->broken = false;
}

static double pull_of_strand(const struct world *w)
{
    double at = w->position;
    if (w->broken || w->knots == 0 || at <= w->knot_steps[0])
        return 0;
    for (size_t i = 1; i < w->knots; i++) {
        if (at <= w->knot_steps[i]) {
            double share = (at - w->knot_steps[i - 1]) / (w->knot_steps[i] - w->knot_steps[i - 1]);
            return w->knot_counts[i - 1] + share * (w->knot_counts[i] - w->knot_counts[i - 1]);
        }
    }
    return w->knot_counts[w->knots - 1];
}

/* ---- amplifier ---- */

static double uniform(struct world *w)
{
    w->random ^= w->random << 13;
    w->random ^= w->random >> 7;
    w->random ^= w->random << 17;
    return (double)(w->random >> 11) / 9007199254740992.0;
}

/* Near enough to a normal deviate: twelve uniform ones. */
static double noise(struct world *w)
{
    double sum = -6;
    for (int i = 0; i < 12; i++)
        sum += uniform(w);
    return sum * w->noise_counts;
}

static double filtered(struct world *w)
{
    size_t settle = w->settle < HISTORY ? (size_t)w->settle : HISTORY;
    double sum = 0;
    w->history[w->conversions % HISTORY] = w->offset_counts + pull_of_strand(w);
    for (size_t back = 0; back < settle; back++)
        sum += w->history[(w->conversions - (back <= w->conversions ? back : 0)) % HISTORY];
    return sum / (double)settle + (w->noise_counts > 0 ? noise(w) : 0);
}

static int32_t convert(struct world *w)
{
    if (w->script)
        return w->script[w->conversions < w->script_size ? w->conversions : w->script_size - 1];
    double counts = filtered(w);
    if (w->glitch != 0) {
        w->glitch = 0;
        return COUNTS_TOP;
    }
    if (counts > COUNTS_TOP)
        return COUNTS_TOP;
    return counts < COUNTS_BOTTOM ? COUNTS_BOTTOM : (int32_t)counts;
}

static void make_ready(struct world *w, int64_t ns)
{
    int32_t counts = convert(w);
    if (w->frozen == 0)
        w->latest = counts;
    w->conversions++;
    if (w->bits_read > 0 && w->bits_read < ALL_BITS)
        return; /* In the middle of being read: the new reading is lost. */
    if (w->bits_read == 0)
        w->overrun++;
    w->bits_read = 0;
    w->shift = (uint32_t)w->latest << 8;
    w->data_high = false;
    w->reading_log[w->reading_count++ % READING_LOG] = (struct reading_record){ns, w->latest, w->position};
}

int64_t world_convert(struct world *w, int64_t ns)
{
    if (w->silent == 0)
        make_ready(w, ns);
    w->next_conversion_ns = ns + (int64_t)(1e9 / w->rate_hz);
    return w->next_conversion_ns;
}

static void next_bit(struct world *w)
{
    if (w->bits_read >= ALL_BITS)
        return;
    w->data_high = w->bits_read == ALL_BITS - 1 || (w->shift & 0x80000000u);
    w->shift <<= 1;
    if (++w->bits_read == ALL_BITS)
        w->read_wholly++;
}

static void switch_off(struct world *w, int64_t ns)
{
    w->switched_off++;
    w->bits_read = ALL_BITS;
    w->data_high = true;
    w->next_conversion_ns = ns + (int64_t)(4e9 / w->rate_hz);
}

void world_clock(struct world *w, bool high, int64_t ns)
{
    if (high == w->clock_high)
        return;
    w->clock_high = high;
    if (high) {
        w->clock_rose_ns = ns;
        next_bit(w);
        return;
    }
    int64_t length = ns - w->clock_rose_ns;
    if (length > w->longest_clock_ns)
        w->longest_clock_ns = length;
    if (length > SWITCH_OFF_NS)
        switch_off(w, ns);
}

/* ---- stage ---- */

static void least(int64_t *kept, int64_t value)
{
    if (value < *kept)
        *kept = value;
}

void world_step(struct world *w, int direction, int64_t ns)
{
    least(&w->shortest_gap_ns, ns - w->last_step_ns);
    w->last_step_ns = ns;
    w->steps++;
    bool slips = w->slip_every > 0 && direction > 0 && w->steps % (uint64_t)w->slip_every == 0;
    if (!slips)
        w->position += direction;
    w->step_log[w->step_count++ % STEP_LOG] = (struct step_record){ns, w->position};
    if (!w->broken && w->position >= w->break_at) {
        w->broken = true;
        w->broke_ns = ns;
    }
}

void world_step_pin(struct world *w, bool high, int64_t ns)
{
    if (!high) {
        least(&w->shortest_pulse_ns, ns - w->step_rose_ns);
        return;
    }
    w->step_rose_ns = ns;
    least(&w->shortest_setup_ns, ns - w->direction_changed_ns);
    if (w->driver_off)
        w->steps_while_off++;
    else
        world_step(w, w->direction, ns);
}

void world_direction_pin(struct world *w, bool high, int64_t ns)
{
    int direction = high ? 1 : -1;
    if (direction != w->direction)
        w->direction_changed_ns = ns;
    w->direction = direction;
}

bool world_data(const struct world *w)
{
    return w->data_stuck == 0 ? w->data_high : w->data_stuck == 1;
}

bool world_near(const struct world *w)
{
    return w->near_held != 0 || w->position <= w->near_at;
}

bool world_far(const struct world *w)
{
    return w->far_held != 0 || w->position >= w->far_at;
}

bool world_emergency(const struct world *w)
{
    return w->emergency != 0;
}

/* ---- logs ---- */

static size_t smaller(size_t a, size_t b)
{
    return a < b ? a : b;
}

size_t world_steps(const struct world *w, struct step_record *out, size_t room)
{
    size_t count = smaller(smaller(w->step_count, STEP_LOG), room);
    for (size_t i = 0; i < count; i++)
        out[i] = w->step_log[(w->step_count - count + i) % STEP_LOG];
    return count;
}

size_t world_readings(const struct world *w, struct reading_record *out, size_t room)
{
    size_t count = smaller(smaller(w->reading_count, READING_LOG), room);
    for (size_t i = 0; i < count; i++)
        out[i] = w->reading_log[(w->reading_count - count + i) % READING_LOG];
    return count;
}
