/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The firmware's core on its own, compiled for this computer, in the same world as the emulated chip: a thin layer
 * that goes from event to event. One rig at a time, since the core calls plain functions. Has no interrupts, so that
 * what lives in the chip's thin layer (its races, its watchdog) is not tested here.
 */
#include "rig.h"

#include <stdlib.h>
#include <string.h>

#include "core.h"

enum { RING = 64, IN_RING = 128, OUT_CAPACITY = 255 };
static const int64_t MS = 1000000, TICK_NS = 500, BYTE_NS = 44000; /* 11 bits, as the emulated chip counts. */
static const int64_t NEVER = INT64_MAX;

struct rig {
    struct world world;
    struct core core;
    int64_t now, next_tick, next_byte, line_free;
    bool due, ready, driver_off;
    int64_t ready_ns;
    int32_t ready_position, position;
    int8_t direction;
    uint8_t halted;
    int64_t step_at[RING];
    size_t newest, oldest;
    uint8_t in[IN_RING];
    size_t in_newest, in_oldest;
    uint8_t *to_board;
    size_t to_board_size, to_board_done, to_board_room;
    uint8_t *from_board;
    size_t from_board_size, from_board_taken, from_board_room;
    uint8_t memory, at_start;
    uint16_t boot_count;
    int64_t started; /* True time of the last start: the board's own time is 0 there. */
};

static struct rig only;
static struct rig *const r = &only;

static bool switch_ahead_pressed(void)
{
    return r->direction < 0 ? world_near(&r->world) : world_far(&r->world);
}

static void halt(uint8_t why)
{
    r->oldest = r->newest;
    r->halted = why;
}

static void watch_emergency(void)
{
    if (!world_emergency(&r->world))
        return;
    r->world.driver_off = true;
    halt(HALT_EMERGENCY);
}

/* ---- the thin layer ---- */

uint32_t thin_now_us(void)
{
    return (uint32_t)((r->now - r->started) / 1000);
}

bool thin_quantum_due(void)
{
    bool due = r->due;
    r->due = false;
    return due;
}

void thin_start(int8_t direction)
{
    r->direction = direction;
    r->halted = HALT_NONE;
    r->memory = MEMORY_MOVED;
    r->world.driver_off = false;
}

void thin_plan(const struct quantum *q)
{
    int64_t at = r->next_tick + q->first * TICK_NS;
    for (uint8_t i = 0; i < q->count && r->halted == HALT_NONE; i++) {
        r->step_at[r->newest++ % RING] = at;
        at += q->interval * TICK_NS;
    }
}

bool thin_standing(void)
{
    return r->oldest == r->newest;
}

void thin_halt(void)
{
    r->oldest = r->newest;
    r->memory = MEMORY_STOOD;
}

enum halt thin_halted(void)
{
    uint8_t why = r->halted;
    r->halted = HALT_NONE;
    return (enum halt)why;
}

int32_t thin_position(void)
{
    return r->position;
}

void thin_set_position(int32_t steps)
{
    r->position = steps;
}

uint8_t thin_switches(void)
{
    return (uint8_t)((world_near(&r->world) ? SWITCH_NEAR : 0) | (world_far(&r->world) ? SWITCH_FAR : 0) |
                     (world_emergency(&r->world) ? SWITCH_EMERGENCY : 0));
}

bool thin_reading(struct reading *reading)
{
    if (!r->ready)
        return false;
    r->ready = false;
    *reading = (struct reading){(uint32_t)((r->ready_ns - r->started) / 1000), r->world.latest, r->ready_position};
    r->world.bits_read = 25;
    r->world.read_wholly++;
    return true;
}

bool thin_receive(uint8_t *byte)
{
    if (r->in_oldest == r->in_newest)
        return false;
    *byte = r->in[r->in_oldest++ % IN_RING];
    return true;
}

uint8_t thin_room(void)
{
    int64_t waiting = r->line_free > r->now ? (r->line_free - r->now + BYTE_NS - 1) / BYTE_NS : 0;
    return (uint8_t)(waiting < OUT_CAPACITY ? OUT_CAPACITY - waiting : 0);
}

void thin_send(const uint8_t *bytes, uint8_t size)
{
    if (r->from_board_size + size > r->from_board_room) {
        r->from_board_room = 2 * (r->from_board_size + size);
        r->from_board = realloc(r->from_board, r->from_board_room);
    }
    memcpy(r->from_board + r->from_board_size, bytes, size);
    r->from_board_size += size;
    r->line_free = (r->line_free > r->now ? r->line_free : r->now) + size * BYTE_NS;
}

enum memory thin_memory(void)
{
    return (enum memory)r->at_start;
}

uint16_t thin_boot_count(void)
{
    return r->boot_count;
}

/* ---- from event to event ---- */

static bool work_waits(void)
{
    return r->due || r->ready || r->in_oldest != r->in_newest;
}

static void let_core_work(void)
{
    while (work_waits())
        core_poll(&r->core);
}

static void on_tick(void)
{
    r->next_tick += MS;
    r->due = true;
    watch_emergency();
}

static void on_conversion(void)
{
    size_t before = r->world.conversions;
    world_convert(&r->world, r->now);
    if (r->world.conversions == before)
        return;
    r->ready = true;
    r->ready_ns = r->now;
    r->ready_position = r->position;
}

static void on_step(void)
{
    r->oldest++;
    if (switch_ahead_pressed()) {
        halt(HALT_LIMIT);
        return;
    }
    r->position += r->direction;
    world_step(&r->world, r->direction, r->now);
}

static void on_byte(void)
{
    uint8_t byte = r->to_board[r->to_board_done++];
    if (r->in_newest - r->in_oldest < IN_RING - 1)
        r->in[r->in_newest++ % IN_RING] = byte;
    r->next_byte = r->to_board_done < r->to_board_size ? r->now + BYTE_NS : NEVER;
}

static void one_event(int64_t until)
{
    int64_t step = r->oldest == r->newest ? NEVER : r->step_at[r->oldest % RING];
    int64_t conversion = r->world.next_conversion_ns;
    int64_t next = until;
    void (*happen)(void) = NULL;
    if (r->next_tick <= next)
        next = r->next_tick, happen = on_tick;
    if (r->next_byte < next)
        next = r->next_byte, happen = on_byte;
    if (step < next)
        next = step, happen = on_step;
    if (conversion < next)
        next = conversion, happen = on_conversion;
    r->now = next > r->now ? next : r->now;
    if (happen)
        happen();
    let_core_work();
}

void rig_run(struct rig *rig, int64_t until_ns)
{
    (void)rig;
    while (r->now < until_ns)
        one_event(until_ns);
}

/* ---- making, values ---- */

static void start(void)
{
    r->at_start = r->memory;
    r->boot_count++;
    r->started = r->now;
    r->next_tick = r->now + MS;
    r->line_free = r->now;
    r->oldest = r->newest;
    r->in_oldest = r->in_newest;
    r->due = r->ready = false;
    r->halted = HALT_NONE;
    r->position = 0;
    r->world.driver_off = true;
    core_start(&r->core);
}

struct rig *rig_new(const char *image)
{
    (void)image;
    memset(r, 0, sizeof *r);
    world_init(&r->world);
    r->world.next_conversion_ns = (int64_t)(1e9 / r->world.rate_hz);
    r->next_byte = NEVER;
    r->memory = MEMORY_STOOD;
    start();
    return r;
}

void rig_free(struct rig *rig)
{
    free(rig->to_board);
    free(rig->from_board);
    rig->to_board = rig->from_board = NULL;
}

int64_t rig_now(const struct rig *rig)
{
    return rig->now;
}

void rig_send(struct rig *rig, const uint8_t *bytes, size_t size)
{
    if (rig->to_board_done == rig->to_board_size)
        rig->to_board_done = rig->to_board_size = 0;
    if (rig->to_board_size + size > rig->to_board_room) {
        rig->to_board_room = 2 * (rig->to_board_size + size);
        rig->to_board = realloc(rig->to_board, rig->to_board_room);
    }
    memcpy(rig->to_board + rig->to_board_size, bytes, size);
    rig->to_board_size += size;
    if (rig->next_byte == NEVER && size > 0)
        rig->next_byte = rig->now + BYTE_NS;
}

size_t rig_unsent(const struct rig *rig)
{
    return rig->to_board_size - rig->to_board_done;
}

size_t rig_receive(struct rig *rig, uint8_t *bytes, size_t room)
{
    size_t size = rig->from_board_size - rig->from_board_taken;
    size = size < room ? size : room;
    memcpy(bytes, rig->from_board + rig->from_board_taken, size);
    rig->from_board_taken += size;
    if (rig->from_board_taken == rig->from_board_size)
        rig->from_board_taken = rig->from_board_size = 0;
    return size;
}

bool rig_set(struct rig *rig, const char *name, double value)
{
    bool known = world_set(&rig->world, name, value);
    watch_emergency();
    return known;
}

bool rig_get(const struct rig *rig, const char *name, double *value)
{
    return world_get(&rig->world, name, value);
}

void rig_strand(struct rig *rig, const double *steps, const double *counts, size_t knots, double break_at)
{
    world_strand(&rig->world, steps, counts, knots, break_at);
}

void rig_script(struct rig *rig, const int32_t *readings, size_t size)
{
    rig->world.script = readings;
    rig->world.script_size = size;
}

size_t rig_steps(const struct rig *rig, struct step_record *out, size_t room)
{
    return world_steps(&rig->world, out, room);
}

size_t rig_readings(const struct rig *rig, struct reading_record *out, size_t room)
{
    return world_readings(&rig->world, out, room);
}

void rig_reset(struct rig *rig, bool power_lost)
{
    if (power_lost)
        rig->memory = MEMORY_STOOD;
    start();
}
