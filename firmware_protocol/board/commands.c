#include "commands.h"

#include "board_config.h"
#include "say.h"

#define NO_LIMIT UINT32_MAX

static uint8_t switch_ahead(int8_t direction)
{
    return direction < 0 ? SWITCH_NEAR : SWITCH_FAR;
}

struct order {
    uint8_t state;
    int32_t target;
    uint32_t speed;
    uint32_t force_limit;
    uint32_t break_floor;
};

static bool outside_travel(const struct core *c, int32_t target)
{
    return c->homed && (target < 0 || target > (int32_t)TRAVEL_STEPS);
}

static uint8_t refusal(const struct core *c, const struct order *o, int32_t position)
{
    bool homing = o->state == SP_BOARD_STATE_HOMING;
    if (running(c))
        return SP_RESULT_BUSY;
    if (latching(c->reason))
        return SP_RESULT_LATCHED;
    if (o->speed == 0 || o->speed > MAX_SPEED_STEPS_S * UINT32_C(1000) || o->force_limit == 0)
        return SP_RESULT_BAD_VALUE;
    if (!homing && outside_travel(c, o->target))
        return SP_RESULT_BAD_VALUE;
    if (c->sensor_fault || c->force.known < ZERO_READINGS)
        return SP_RESULT_SENSOR_NOT_READY;
    if (!homing && o->target != position && (thin_switches() & switch_ahead(o->target < position ? -1 : 1)))
        return SP_RESULT_AT_LIMIT;
    return SP_RESULT_OK;
}

static uint8_t start(struct core *c, const struct order *o)
{
    int32_t position = thin_position();
    uint8_t result = refusal(c, o, position);
    if (result != SP_RESULT_OK)
        return result;
    c->reason = SP_STOP_REASON_NONE;
    c->state = o->state;
    force_start(&c->force, o->force_limit, o->break_floor);
    motion_start(&c->motion, position, o->target, o->speed);
    thin_start(c->motion.direction);
    return SP_RESULT_OK;
}

static uint8_t start_move(struct core *c, const uint8_t *payload)
{
    sp_move_t m;
    sp_unpack_move(&m, payload);
    struct order o = {SP_BOARD_STATE_MOVING, m.target_steps, m.speed_msteps_s, m.force_limit_counts, 0};
    return start(c, &o);
}

static uint8_t start_pull(struct core *c, const uint8_t *payload)
{
    sp_pull_t p;
    sp_unpack_pull(&p, payload);
    struct order o = {SP_BOARD_STATE_PULLING, p.target_steps, p.speed_msteps_s, p.force_limit_counts, p.break_floor_counts};
    return start(c, &o);
}

static uint8_t start_home(struct core *c, const uint8_t *payload)
{
    sp_home_t h;
    sp_unpack_home(&h, payload);
    int32_t target = thin_position() - (int32_t)(TRAVEL_STEPS + TRAVEL_STEPS / 10);
    struct order o = {SP_BOARD_STATE_HOMING, target, h.speed_msteps_s, NO_LIMIT, 0};
    return start(c, &o);
}

static uint8_t stop(struct core *c)
{
    if (running(c)) {
        c->state = SP_BOARD_STATE_STOPPING;
        c->motion.stopping = true;
    }
    return SP_RESULT_OK;
}

static uint8_t clear_stop(struct core *c, uint8_t reason)
{
    if (reason != c->reason)
        return SP_RESULT_WRONG_REASON;
    if (reason == SP_STOP_REASON_EMERGENCY_STOP && (thin_switches() & SWITCH_EMERGENCY))
        return SP_RESULT_LATCHED;
    c->reason = SP_STOP_REASON_NONE;
    if (!running(c))
        thin_halt(); /* What a reset has left behind is settled. */
    return SP_RESULT_OK;
}

static uint8_t zero(struct core *c)
{
    if (running(c))
        return SP_RESULT_BUSY;
    return force_zero(&c->force) ? SP_RESULT_OK : SP_RESULT_SENSOR_NOT_READY;
}

static uint8_t stream(struct core *c, uint8_t on)
{
    if (on > 1)
        return SP_RESULT_BAD_VALUE;
    c->streaming = on;
    return SP_RESULT_OK;
}

static uint8_t carry_out(struct core *c, uint8_t id, const uint8_t *payload)
{
    switch (id) {
    case SP_ID_MOVE:
        return start_move(c, payload);
    case SP_ID_PULL:
        return start_pull(c, payload);
    case SP_ID_HOME:
        return start_home(c, payload);
    case SP_ID_CLEAR_STOP:
        return clear_stop(c, payload[1]);
    case SP_ID_ZERO:
        return zero(c);
    default:
        return stream(c, payload[1]);
    }
}

static void identify(struct core *c, const uint8_t *payload)
{
    c->identified = payload[1] == SP_PROTOCOL_VERSION;
    say_identity(c, payload[0]);
}

static void take_command(struct core *c, uint8_t id, const uint8_t *payload)
{
    uint8_t request = payload[0];
    if (id == SP_ID_IDENTIFY)
        identify(c, payload);
    else if (id == SP_ID_STOP)
        say_answer(c, id, request, stop(c));
    else if (!c->identified)
        say_answer(c, id, request, SP_RESULT_NOT_IDENTIFIED);
    else if (id == SP_ID_QUERY)
        say_status(c, request);
    else if (id == c->answered.id && request == c->answered.request)
        say_answer(c, id, request, c->answered.result);
    else
        say_answer(c, id, request, carry_out(c, id, payload));
}

enum { NO_MESSAGE = 0xFF };

static uint8_t payload_size(uint8_t id)
{
    switch (id) {
    case SP_ID_IDENTIFY:
        return SP_SIZE_IDENTIFY;
    case SP_ID_HEARTBEAT:
        return SP_SIZE_HEARTBEAT;
    case SP_ID_STOP:
        return SP_SIZE_STOP;
    case SP_ID_CLEAR_STOP:
        return SP_SIZE_CLEAR_STOP;
    case SP_ID_ZERO:
        return SP_SIZE_ZERO;
    case SP_ID_MOVE:
        return SP_SIZE_MOVE;
    case SP_ID_PULL:
        return SP_SIZE_PULL;
    case SP_ID_HOME:
        return SP_SIZE_HOME;
    case SP_ID_STREAM:
        return SP_SIZE_STREAM;
    case SP_ID_QUERY:
        return SP_SIZE_QUERY;
    default:
        return NO_MESSAGE;
    }
}

void take_message(struct core *c, const uint8_t *message, uint8_t length)
{
    uint8_t id = message[0];
    const uint8_t *payload = message + 1;
    uint8_t size = length - 1;
    c->alive_us = thin_now_us();
    if (size != payload_size(id))
        say_answer(c, id, size ? payload[0] : 0, SP_RESULT_UNKNOWN);
    else if (id != SP_ID_HEARTBEAT)
        take_command(c, id, payload);
}
