#include "say.h"

#include "board_config.h"

enum {
    COUNTS_TOP = 0x7FFFFF, /* Ends of the amplifier's range. */
    COUNTS_BOTTOM = -0x800000,
    ROOM_FOR_ANSWERS = 96, /* Bytes of the line that samples leave free: an Identity, an Event and some. */
    SAMPLE_BYTES = 1 + SP_SIZE_SAMPLE + SP_CRC_SIZE + 2,
};

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

void say_event(struct core *c, uint8_t code)
{
    sp_event_t event = {code, thin_now_us(), c->last.counts, thin_position()};
    send(c, sp_pack_event(&event, draft(c)));
}

void say_answer(struct core *c, uint8_t id, uint8_t request, uint8_t result)
{
    remember(c, id, request, result);
    sp_ack_t ack = {request, result};
    send(c, sp_pack_ack(&ack, draft(c)));
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

void say_sample(struct core *c, uint16_t seq)
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

void say_identity(struct core *c, uint8_t request)
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

void say_status(struct core *c, uint8_t request)
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
