#include "core.h"

#include <string.h>

#include "commands.h"
#include "say.h"

#define SILENCE_US (SP_HOST_SILENCE_MS * UINT32_C(1000))
#define SENSOR_TIMEOUT_US UINT32_C(600000) /* Six readings at 10 a second; longer than an amplifier's own settling. */

/* ---- ending a motion ---- */

static uint8_t event_of(uint8_t reason)
{
    static const uint8_t events[] = {
        [SP_STOP_REASON_DONE] = SP_EVENT_CODE_MOVE_DONE,
        [SP_STOP_REASON_COMMAND] = SP_EVENT_CODE_STOPPED,
        [SP_STOP_REASON_FORCE_LIMIT] = SP_EVENT_CODE_FORCE_LIMIT,
        [SP_STOP_REASON_TRAVEL_LIMIT] = SP_EVENT_CODE_TRAVEL_LIMIT,
        [SP_STOP_REASON_LIMIT_SWITCH] = SP_EVENT_CODE_LIMIT_SWITCH,
        [SP_STOP_REASON_EMERGENCY_STOP] = SP_EVENT_CODE_EMERGENCY_STOP,
        [SP_STOP_REASON_SENSOR_FAULT] = SP_EVENT_CODE_SENSOR_FAULT,
        [SP_STOP_REASON_HOST_SILENT] = SP_EVENT_CODE_HOST_SILENT,
        [SP_STOP_REASON_BREAK_SEEN] = SP_EVENT_CODE_BREAK_SEEN,
        [SP_STOP_REASON_MAIN_LOOP_HUNG] = 0, /* The flags tell it. */
    };
    return events[reason];
}

static void end_with(struct core *c, uint8_t reason, uint8_t event)
{
    thin_halt();
    c->state = SP_BOARD_STATE_IDLE;
    c->reason = reason;
    if (event)
        say_event(c, event);
}

static void end(struct core *c, uint8_t reason)
{
    end_with(c, reason, event_of(reason));
}

static void end_home(struct core *c)
{
    thin_halt();
    thin_set_position(0);
    c->homed = true;
    end_with(c, SP_STOP_REASON_DONE, SP_EVENT_CODE_HOMED);
}

/* All planned steps are made: the target, or the place where a stop command brought the motor to stand. */
static void end_standing(struct core *c)
{
    if (c->motion.stopping)
        end(c, SP_STOP_REASON_COMMAND);
    else if (c->state == SP_BOARD_STATE_HOMING)
        end(c, SP_STOP_REASON_TRAVEL_LIMIT);
    else
        end(c, SP_STOP_REASON_DONE);
}

/* ---- what the main loop does ---- */

static void take_bytes(struct core *c)
{
    uint8_t byte;
    while (thin_receive(&byte)) {
        enum frame_result result = frame_take(&c->in, byte);
        if (result == FRAME_DAMAGED)
            c->bad_frames++;
        if (result != FRAME_GOOD)
            continue;
        take_message(c, c->in.bytes, c->in.length);
        return; /* One message a turn, so that the next quantum is planned in time. */
    }
}

static void take_reading(struct core *c)
{
    if (!thin_reading(&c->last))
        return;
    c->reading_us = thin_now_us();
    c->sensor_fault = false;
    uint16_t seq = c->seq++;
    if (c->streaming)
        say_sample(c, seq);
    enum force_verdict verdict = force_take(&c->force, c->last.counts);
    if (!running(c))
        return;
    if (verdict == FORCE_OVER_LIMIT)
        end(c, SP_STOP_REASON_FORCE_LIMIT);
    else if (verdict == FORCE_FELL)
        end(c, SP_STOP_REASON_BREAK_SEEN);
}

static void watch_emergency(struct core *c, enum halt halted)
{
    if (halted != HALT_EMERGENCY && !(thin_switches() & SWITCH_EMERGENCY))
        return;
    c->homed = false;
    if (c->reason != SP_STOP_REASON_EMERGENCY_STOP)
        end(c, SP_STOP_REASON_EMERGENCY_STOP);
}

static void watch_sensor(struct core *c, uint32_t now)
{
    if (now - c->reading_us >= SENSOR_TIMEOUT_US)
        c->sensor_fault = true;
    if (c->sensor_fault && running(c))
        end(c, SP_STOP_REASON_SENSOR_FAULT);
}

static bool on_near_switch(const struct core *c, enum halt halted)
{
    return c->state == SP_BOARD_STATE_HOMING && (halted == HALT_LIMIT || (thin_switches() & SWITCH_NEAR));
}

/* What may end a running motion between two readings. */
static void watch_motion(struct core *c, enum halt halted, uint32_t now)
{
    if (on_near_switch(c, halted))
        end_home(c);
    else if (halted == HALT_LIMIT)
        end(c, SP_STOP_REASON_LIMIT_SWITCH);
    else if (halted == HALT_HUNG)
        end(c, SP_STOP_REASON_MAIN_LOOP_HUNG);
    else if (now - c->alive_us >= SILENCE_US)
        end(c, SP_STOP_REASON_HOST_SILENT);
}

static void plan(struct core *c)
{
    struct quantum q;
    if (motion_next(&c->motion, &q))
        thin_plan(&q);
    else if (thin_standing() && thin_position() == c->motion.position)
        end_standing(c);
}

static void take_quantum(struct core *c)
{
    enum halt halted = thin_halted();
    uint32_t now = thin_now_us();
    watch_emergency(c, halted);
    watch_sensor(c, now);
    if (running(c))
        watch_motion(c, halted, now);
    if (running(c))
        plan(c);
}

void core_start(struct core *c)
{
    static const uint8_t reasons[] = {
        [MEMORY_STOOD] = SP_STOP_REASON_NONE,
        [MEMORY_MOVED] = SP_STOP_REASON_RESET,
        [MEMORY_HUNG] = SP_STOP_REASON_MAIN_LOOP_HUNG,
    };
    memset(c, 0, sizeof *c);
    c->reason = reasons[thin_memory()];
    c->reading_us = thin_now_us();
    say_event(c, SP_EVENT_CODE_BOOT);
}

void core_poll(struct core *c)
{
    if (thin_quantum_due())
        take_quantum(c);
    take_reading(c);
    take_bytes(c);
}
