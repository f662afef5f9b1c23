#include "core.h"

#include <string.h>

#include "board_config.h"
#include "strand_protocol.h"

#define SILENCE_US (SP_HOST_SILENCE_MS * UINT32_C(1000))
#define SENSOR_TIMEOUT_US UINT32_C(600000) /* Six readings at 10 a second; longer than an amplifier's own settling. */
#define NO_LIMIT UINT32_MAX

enum {
    COUNTS_TOP = 0x7FFFFF,       /* Ends of the amplifier's range. */
    COUNTS_BOTTOM = -0x800000,
    ROOM_FOR_ANSWERS = 96,       /* Bytes of the line that samples leave free: an Identity, an Event and some. */
    SAMPLE_BYTES = 22,           /* A Sample with id, checksum, stuffing and delimiter. */
};

/* ---- sending ---- */

/* Where a message that is to be sent is put together. */
static uint8_t *draft(struct core *c)
{
    return c->out.bytes + 1;
}

static void send(struct core *c, uint8_t size)
{
    frame_close(&c->out, size);
    if (c->out.length <= thin_room())
        thin_send(c->out.bytes, c->out.length);
}

static void remember(struct core *c, uint8_t id, uint8_t request, uint8_t result)
{
    c->answered = (struct answered){id, request, result};
}

static void send_event(struct core *c, uint8_t code)
{
    sp_event_t event = {code, thin_now_us(), c->last.counts, thin_position()};
    send(c, sp_pack_event(&event, draft(c)));
}

static void answer(struct core *c, uint8_t id, uint8_t request, uint8_t result)
{
    remember(c, id, request, result);
    sp_ack_t ack = {request, result};
    send(c, sp_pack_ack(&ack, draft(c)));
}

static bool latching(uint8_t reason)
{
    return SP_LATCHING_MASK >> reason & 1;
}

static bool running(const struct core *c)
{
    return c->state != SP_BOARD_STATE_IDLE;
}

static uint16_t flags(const struct core *c)
{
    uint8_t now = 0;
    uint8_t switches = thin_switches();
    if (running(c))
        now |= SP_FLAG_MOVING;
    if (c->homed)
        now |= SP_FLAG_HOMED;
    if (switches & SWITCH_NEAR)
        now |= SP_FLAG_NEAR_LIMIT;
    if (switches & SWITCH_FAR)
        now |= SP_FLAG_FAR_LIMIT;
    if (switches & SWITCH_EMERGENCY)
        now |= SP_FLAG_EMERGENCY_STOP;
    if (c->sensor_fault)
        now |= SP_FLAG_SENSOR_FAULT;
    if (c->last.counts >= COUNTS_TOP || c->last.counts <= COUNTS_BOTTOM)
        now |= SP_FLAG_SATURATED;
    if (c->tell_dropped)
        now |= SP_FLAG_READINGS_DROPPED;
    return (uint16_t)(c->reason << SP_STOP_REASON_SHIFT | now);
}

static void send_sample(struct core *c, uint16_t seq)
{
    if (thin_room() < ROOM_FOR_ANSWERS + SAMPLE_BYTES) {
        c->dropped++;
        c->tell_dropped = true;
        return;
    }
    sp_sample_t sample = {seq, c->last.t_us, c->last.counts, c->last.steps, flags(c)};
    c->tell_dropped = false;
    send(c, sp_pack_sample(&sample, draft(c)));
}

static void send_identity(struct core *c, uint8_t request)
{
    remember(c, SP_ID_IDENTIFY, request, SP_RESULT_OK);
    sp_identity_t identity = {
        .request = request,
        .protocol = SP_PROTOCOL_VERSION,
        .table_crc = SP_TABLE_CRC,
        .firmware = FIRMWARE_VERSION,
        .boot_count = thin_boot_count(),
        .board_id = BOARD_ID,
        .abilities = SP_ABILITY_LIMIT_SWITCHES | SP_ABILITY_EMERGENCY_STOP,
        .sensor_bits = SENSOR_BITS,
        .rate_mhz = RATE_MHZ,
        .steps_per_m = STEPS_PER_M,
        .travel_steps = TRAVEL_STEPS,
        .max_speed_steps_s = MAX_SPEED_STEPS_S,
        .force_range_mn = FORCE_RANGE_MN,
        .counts_per_n = COUNTS_PER_N,
        .name = RIG_NAME,
    };
    send(c, sp_pack_identity(&identity, draft(c)));
}

static void send_status(struct core *c, uint8_t request)
{
    remember(c, SP_ID_QUERY, request, SP_RESULT_OK);
    sp_status_t status = {
        .request = request,
        .state = running(c) || !latching(c->reason) ? c->state : SP_BOARD_STATE_LATCHED,
        .t_us = thin_now_us(),
        .counts = c->last.counts,
        .steps = thin_position(),
        .flags = flags(c),
        .zero_counts = c->force.zero,
        .boot_count = thin_boot_count(),
        .dropped = c->dropped,
        .bad_frames = c->bad_frames,
    };
    send(c, sp_pack_status(&status, draft(c)));
}

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
        send_event(c, event);
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

/* ---- commands ---- */

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
    send_identity(c, payload[0]);
}

static void take_command(struct core *c, uint8_t id, const uint8_t *payload)
{
    uint8_t request = payload[0];
    if (id == SP_ID_IDENTIFY)
        identify(c, payload);
    else if (id == SP_ID_STOP)
        answer(c, id, request, stop(c));
    else if (!c->identified)
        answer(c, id, request, SP_RESULT_NOT_IDENTIFIED);
    else if (id == SP_ID_QUERY)
        send_status(c, request);
    else if (id == c->answered.id && request == c->answered.request)
        answer(c, id, request, c->answered.result);
    else
        answer(c, id, request, carry_out(c, id, payload));
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

static void take_message(struct core *c, const uint8_t *message, uint8_t length)
{
    uint8_t id = message[0];
    const uint8_t *payload = message + 1;
    uint8_t size = length - 1;
    c->alive_us = thin_now_us();
    if (size != payload_size(id))
        answer(c, id, size ? payload[0] : 0, SP_RESULT_UNKNOWN);
    else if (id != SP_ID_HEARTBEAT)
        take_command(c, id, payload);
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
        send_sample(c, seq);
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
    send_event(c, SP_EVENT_CODE_BOOT);
}

void core_poll(struct core *c)
{
    if (thin_quantum_due())
        take_quantum(c);
    take_reading(c);
    take_bytes(c);
}
