/* The wire between host and board, for the board's side.
 * Made from the message table by: python -m firmware_protocol.cheader --write
 * Change the table, not this file.
 *
 * A frame is COBS(message id, payload, CRC-16/IBM-3740 high byte first) and a zero byte.
 * sp_pack_x() writes message id and payload ("body") and returns their length;
 * sp_unpack_x() reads the payload, which begins behind the message id. Both go byte by byte, low byte first.
 */
#ifndef STRAND_PROTOCOL_H
#define STRAND_PROTOCOL_H

#include <stdint.h>

#define SP_PROTOCOL_VERSION 1 /* both sides must have the same */
#define SP_TABLE_CRC 0xf6a4u /* checksum of the message table, told in Identity */
#define SP_CRC_START 0xffffu /* CRC-16/IBM-3740: polynomial 0x1021, nothing reflected or inverted */
#define SP_CRC_SIZE 2 /* bytes */
#define SP_DEFAULT_BAUD 250000ul /* exact on a 16 MHz board */
#define SP_HOST_SILENCE_MS 500 /* a running motor stops when the host was silent for this long */
#define SP_HEARTBEAT_MS 100 /* the host sends one this often */
#define SP_STOP_REASON_SHIFT 8 /* flags >> this is the latched stop reason */
#define SP_LATCHING_MASK 0x0ff8u /* bit n: stop reason n refuses motion until cleared */
#define SP_MAX_BODY_TO_BOARD 18 /* longest message id and payload to the board */
#define SP_MAX_BODY_TO_HOST 55 /* longest message id and payload to the host */
#define SP_ID_IDENTIFY 0x01u /* Ask the board who it is; must be the first command after either side starts. */
#define SP_ID_HEARTBEAT 0x02u /* Tell the board that the host is alive; not answered. */
#define SP_ID_STOP 0x03u /* Slow down and stop; accepted in every state. */
#define SP_ID_CLEAR_STOP 0x04u /* Clear the latched stop reason, by naming it, so that motion is allowed again. */
#define SP_ID_ZERO 0x05u /* Take the mean of the last readings as the force zero of the board's own limits; samples stay raw. */
#define SP_ID_MOVE 0x06u /* Move to a position, for jogging and returning. */
#define SP_ID_PULL 0x07u /* Stretch a strand: like Move, and stop by itself when the strand breaks. */
#define SP_ID_HOME 0x08u /* Move towards the near limit switch, and make it the zero of the step counter. */
#define SP_ID_STREAM 0x09u /* Switch the samples on or off. */
#define SP_ID_QUERY 0x0au /* Ask for a Status. */
#define SP_ID_IDENTITY 0x81u /* Who the board is and what it can do. */
#define SP_ID_ACK 0x82u /* The answer to a command. */
#define SP_ID_SAMPLE 0x83u /* One reading of the force amplifier with the position at the same moment. */
#define SP_ID_STATUS 0x84u /* The whole state of the board, in answer to Query. */
#define SP_ID_EVENT 0x85u /* Something happened; news only, since the state is latched in the flags as well. */
#define SP_SIZE_IDENTIFY 2 /* payload bytes */
#define SP_SIZE_HEARTBEAT 0 /* payload bytes */
#define SP_SIZE_STOP 1 /* payload bytes */
#define SP_SIZE_CLEAR_STOP 2 /* payload bytes */
#define SP_SIZE_ZERO 1 /* payload bytes */
#define SP_SIZE_MOVE 13 /* payload bytes */
#define SP_SIZE_PULL 17 /* payload bytes */
#define SP_SIZE_HOME 5 /* payload bytes */
#define SP_SIZE_STREAM 2 /* payload bytes */
#define SP_SIZE_QUERY 1 /* payload bytes */
#define SP_SIZE_IDENTITY 54 /* payload bytes */
#define SP_SIZE_ACK 2 /* payload bytes */
#define SP_SIZE_SAMPLE 16 /* payload bytes */
#define SP_SIZE_STATUS 26 /* payload bytes */
#define SP_SIZE_EVENT 13 /* payload bytes */

enum sp_stop_reason {
    SP_STOP_REASON_NONE = 0, /* nothing has stopped the motor since the last clear */
    SP_STOP_REASON_DONE = 1, /* the motor reached its target */
    SP_STOP_REASON_COMMAND = 2, /* the host said stop */
    SP_STOP_REASON_FORCE_LIMIT = 3, /* the force limit was reached */
    SP_STOP_REASON_TRAVEL_LIMIT = 4, /* the end of the stage's travel was reached */
    SP_STOP_REASON_LIMIT_SWITCH = 5, /* a limit switch was pressed */
    SP_STOP_REASON_EMERGENCY_STOP = 6, /* the emergency stop was pressed */
    SP_STOP_REASON_SENSOR_FAULT = 7, /* the force amplifier stopped delivering readings */
    SP_STOP_REASON_HOST_SILENT = 8, /* the host fell silent while the motor ran */
    SP_STOP_REASON_BREAK_SEEN = 9, /* the force fell as it does when a strand breaks */
    SP_STOP_REASON_RESET = 10, /* the board was reset while the motor ran */
    SP_STOP_REASON_MAIN_LOOP_HUNG = 11, /* the board's main loop hung and the step interrupt stopped the motor */
};

enum sp_ability {
    SP_ABILITY_SIMULATED = 0x01, /* a simulated board */
    SP_ABILITY_LIMIT_SWITCHES = 0x02, /* limit switches are fitted */
    SP_ABILITY_EMERGENCY_STOP = 0x04, /* an emergency stop is fitted */
};

enum sp_result {
    SP_RESULT_OK = 0, /* accepted */
    SP_RESULT_BUSY = 1, /* refused: the motor is running */
    SP_RESULT_LATCHED = 2, /* refused: a stop reason is latched and must be cleared first */
    SP_RESULT_BAD_VALUE = 3, /* refused: a value is out of its range */
    SP_RESULT_AT_LIMIT = 4, /* refused: a limit switch is pressed in that direction */
    SP_RESULT_NOT_IDENTIFIED = 5, /* refused: the host has not identified itself since the board started */
    SP_RESULT_UNKNOWN = 6, /* refused: the board does not know this message */
    SP_RESULT_WRONG_REASON = 7, /* refused: the latched stop reason is another one */
    SP_RESULT_SENSOR_NOT_READY = 8, /* refused: there are not enough readings yet */
};

enum sp_flag {
    SP_FLAG_MOVING = 0x01, /* the motor is stepping */
    SP_FLAG_HOMED = 0x02, /* the step counter counts from the near limit switch */
    SP_FLAG_NEAR_LIMIT = 0x04, /* the near limit switch is pressed */
    SP_FLAG_FAR_LIMIT = 0x08, /* the far limit switch is pressed */
    SP_FLAG_EMERGENCY_STOP = 0x10, /* the emergency stop is pressed */
    SP_FLAG_SENSOR_FAULT = 0x20, /* the force amplifier does not deliver readings */
    SP_FLAG_SATURATED = 0x40, /* this reading is at the end of the amplifier's range */
    SP_FLAG_READINGS_DROPPED = 0x80, /* readings before this one were dropped because the line was full */
};

enum sp_board_state {
    SP_BOARD_STATE_IDLE = 0, /* standing still */
    SP_BOARD_STATE_MOVING = 1, /* moving to a position */
    SP_BOARD_STATE_PULLING = 2, /* pulling a strand */
    SP_BOARD_STATE_HOMING = 3, /* looking for the near limit switch */
    SP_BOARD_STATE_STOPPING = 4, /* slowing down to a stop */
    SP_BOARD_STATE_LATCHED = 5, /* stopped for a reason that must be cleared */
};

enum sp_event_code {
    SP_EVENT_CODE_BOOT = 1, /* the board has started */
    SP_EVENT_CODE_MOVE_DONE = 2, /* a move has ended at its target */
    SP_EVENT_CODE_STOPPED = 3, /* a move was ended by a stop command */
    SP_EVENT_CODE_BREAK_SEEN = 4, /* the strand broke */
    SP_EVENT_CODE_FORCE_LIMIT = 5, /* the force limit stopped the motor */
    SP_EVENT_CODE_TRAVEL_LIMIT = 6, /* the end of the travel stopped the motor */
    SP_EVENT_CODE_LIMIT_SWITCH = 7, /* a limit switch stopped the motor */
    SP_EVENT_CODE_EMERGENCY_STOP = 8, /* the emergency stop was pressed */
    SP_EVENT_CODE_SENSOR_FAULT = 9, /* the force amplifier stopped delivering readings */
    SP_EVENT_CODE_HOST_SILENT = 10, /* the host fell silent and the motor was stopped */
    SP_EVENT_CODE_HOMED = 11, /* the near limit switch was found and the step counter set to zero */
};

/* Ask the board who it is; must be the first command after either side starts. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
    uint8_t host_protocol; /* Protocol version of the host. */
} sp_identify_t;

/* Slow down and stop; accepted in every state. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
} sp_stop_t;

/* Clear the latched stop reason, by naming it, so that motion is allowed again. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
    uint8_t reason; /* The stop reason that is to be cleared. */
} sp_clear_stop_t;

/* Take the mean of the last readings as the force zero of the board's own limits; samples stay raw. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
} sp_zero_t;

/* Move to a position, for jogging and returning. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
    int32_t target_steps; /* Position to move to. [step] */
    uint32_t speed_msteps_s; /* Speed at constant motion. [0.001 step/s] */
    uint32_t force_limit_counts; /* Stop when the force is this far from zero. [count] */
} sp_move_t;

/* Stretch a strand: like Move, and stop by itself when the strand breaks. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
    int32_t target_steps; /* Position at which to give up. [step] */
    uint32_t speed_msteps_s; /* Speed at constant motion. [0.001 step/s] */
    uint32_t force_limit_counts; /* Stop when the force is this far from zero. [count] */
    uint32_t break_floor_counts; /* A break is looked for once the force was above this; 0 for never. [count] */
} sp_pull_t;

/* Move towards the near limit switch, and make it the zero of the step counter. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
    uint32_t speed_msteps_s; /* Speed at constant motion. [0.001 step/s] */
} sp_home_t;

/* Switch the samples on or off. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
    uint8_t on; /* 1 for on, 0 for off. */
} sp_stream_t;

/* Ask for a Status. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
} sp_query_t;

/* Who the board is and what it can do. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
    uint8_t protocol; /* Protocol version of the board. */
    uint16_t table_crc; /* Checksum of the message table the board was built from. */
    uint16_t firmware; /* Firmware version, high byte major, low byte minor. */
    uint16_t boot_count; /* Changes at every start of the board. */
    uint32_t board_id; /* Number of this board. */
    uint8_t abilities; /* What the board can do (Ability). */
    uint8_t sensor_bits; /* Bits of the force amplifier. [bit] */
    uint32_t rate_mhz; /* Nominal rate of readings. [mHz] */
    uint32_t steps_per_m; /* Motor steps per metre of travel. [step/m] */
    uint32_t travel_steps; /* Usable travel of the stage. [step] */
    uint32_t max_speed_steps_s; /* Highest speed. [step/s] */
    uint32_t force_range_mn; /* Force range of the load cell. [mN] */
    uint32_t counts_per_n; /* Nominal counts per newton, before any calibration. [count/N] */
    char name[16]; /* What the rig is called. */
} sp_identity_t;

/* The answer to a command. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
    uint8_t result; /* How the command was taken (Result). */
} sp_ack_t;

/* One reading of the force amplifier with the position at the same moment. */
typedef struct {
    uint16_t seq; /* Counts up by one a reading; a jump is a loss. */
    uint32_t t_us; /* Board time of the reading; wraps. [us] */
    int32_t counts; /* Raw reading. [count] */
    int32_t steps; /* Step counter at the reading. [step] */
    uint16_t flags; /* Low byte what is true now (Flag), high byte the latched stop reason. */
} sp_sample_t;

/* The whole state of the board, in answer to Query. */
typedef struct {
    uint8_t request; /* Number of this request; the answer carries it back. */
    uint8_t state; /* What the board is doing (BoardState). */
    uint32_t t_us; /* Board time. [us] */
    int32_t counts; /* Last raw reading. [count] */
    int32_t steps; /* Step counter. [step] */
    uint16_t flags; /* As in Sample. */
    int32_t zero_counts; /* Force zero of the board's own limits. [count] */
    uint16_t boot_count; /* As in Identity. */
    uint16_t dropped; /* Readings dropped because the line was full. */
    uint16_t bad_frames; /* Damaged frames the board has received. */
} sp_status_t;

/* Something happened; news only, since the state is latched in the flags as well. */
typedef struct {
    uint8_t code; /* What happened (EventCode). */
    uint32_t t_us; /* Board time. [us] */
    int32_t counts; /* Last raw reading. [count] */
    int32_t steps; /* Step counter. [step] */
} sp_event_t;

static inline void sp_put_u8(uint8_t *out, uint8_t v)
{
    out[0] = (uint8_t)v;
}

static inline uint8_t sp_get_u8(const uint8_t *in)
{
    return (uint8_t)(in[0]);
}

static inline void sp_put_u16(uint8_t *out, uint16_t v)
{
    out[0] = (uint8_t)v;
    out[1] = (uint8_t)(v >> 8);
}

static inline uint16_t sp_get_u16(const uint8_t *in)
{
    return (uint16_t)(in[0] | (uint16_t)((uint16_t)in[1] << 8));
}

static inline void sp_put_u32(uint8_t *out, uint32_t v)
{
    out[0] = (uint8_t)v;
    out[1] = (uint8_t)(v >> 8);
    out[2] = (uint8_t)(v >> 16);
    out[3] = (uint8_t)(v >> 24);
}

static inline uint32_t sp_get_u32(const uint8_t *in)
{
    return (uint32_t)(in[0] | (uint32_t)((uint32_t)in[1] << 8) | (uint32_t)((uint32_t)in[2] << 16) | (uint32_t)((uint32_t)in[3] << 24));
}

static inline uint8_t sp_pack_identify(const sp_identify_t *m, uint8_t *out)
{
    out[0] = SP_ID_IDENTIFY;
    sp_put_u8(out + 1, (uint8_t)m->request);
    sp_put_u8(out + 2, (uint8_t)m->host_protocol);
    return 3;
}

static inline void sp_unpack_identify(sp_identify_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
    m->host_protocol = (uint8_t)sp_get_u8(payload + 1);
}

static inline uint8_t sp_pack_stop(const sp_stop_t *m, uint8_t *out)
{
    out[0] = SP_ID_STOP;
    sp_put_u8(out + 1, (uint8_t)m->request);
    return 2;
}

static inline void sp_unpack_stop(sp_stop_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
}

static inline uint8_t sp_pack_clear_stop(const sp_clear_stop_t *m, uint8_t *out)
{
    out[0] = SP_ID_CLEAR_STOP;
    sp_put_u8(out + 1, (uint8_t)m->request);
    sp_put_u8(out + 2, (uint8_t)m->reason);
    return 3;
}

static inline void sp_unpack_clear_stop(sp_clear_stop_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
    m->reason = (uint8_t)sp_get_u8(payload + 1);
}

static inline uint8_t sp_pack_zero(const sp_zero_t *m, uint8_t *out)
{
    out[0] = SP_ID_ZERO;
    sp_put_u8(out + 1, (uint8_t)m->request);
    return 2;
}

static inline void sp_unpack_zero(sp_zero_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
}

static inline uint8_t sp_pack_move(const sp_move_t *m, uint8_t *out)
{
    out[0] = SP_ID_MOVE;
    sp_put_u8(out + 1, (uint8_t)m->request);
    sp_put_u32(out + 2, (uint32_t)m->target_steps);
    sp_put_u32(out + 6, (uint32_t)m->speed_msteps_s);
    sp_put_u32(out + 10, (uint32_t)m->force_limit_counts);
    return 14;
}

static inline void sp_unpack_move(sp_move_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
    m->target_steps = (int32_t)sp_get_u32(payload + 1);
    m->speed_msteps_s = (uint32_t)sp_get_u32(payload + 5);
    m->force_limit_counts = (uint32_t)sp_get_u32(payload + 9);
}

static inline uint8_t sp_pack_pull(const sp_pull_t *m, uint8_t *out)
{
    out[0] = SP_ID_PULL;
    sp_put_u8(out + 1, (uint8_t)m->request);
    sp_put_u32(out + 2, (uint32_t)m->target_steps);
    sp_put_u32(out + 6, (uint32_t)m->speed_msteps_s);
    sp_put_u32(out + 10, (uint32_t)m->force_limit_counts);
    sp_put_u32(out + 14, (uint32_t)m->break_floor_counts);
    return 18;
}

static inline void sp_unpack_pull(sp_pull_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
    m->target_steps = (int32_t)sp_get_u32(payload + 1);
    m->speed_msteps_s = (uint32_t)sp_get_u32(payload + 5);
    m->force_limit_counts = (uint32_t)sp_get_u32(payload + 9);
    m->break_floor_counts = (uint32_t)sp_get_u32(payload + 13);
}

static inline uint8_t sp_pack_home(const sp_home_t *m, uint8_t *out)
{
    out[0] = SP_ID_HOME;
    sp_put_u8(out + 1, (uint8_t)m->request);
    sp_put_u32(out + 2, (uint32_t)m->speed_msteps_s);
    return 6;
}

static inline void sp_unpack_home(sp_home_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
    m->speed_msteps_s = (uint32_t)sp_get_u32(payload + 1);
}

static inline uint8_t sp_pack_stream(const sp_stream_t *m, uint8_t *out)
{
    out[0] = SP_ID_STREAM;
    sp_put_u8(out + 1, (uint8_t)m->request);
    sp_put_u8(out + 2, (uint8_t)m->on);
    return 3;
}

static inline void sp_unpack_stream(sp_stream_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
    m->on = (uint8_t)sp_get_u8(payload + 1);
}

static inline uint8_t sp_pack_query(const sp_query_t *m, uint8_t *out)
{
    out[0] = SP_ID_QUERY;
    sp_put_u8(out + 1, (uint8_t)m->request);
    return 2;
}

static inline void sp_unpack_query(sp_query_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
}

static inline uint8_t sp_pack_identity(const sp_identity_t *m, uint8_t *out)
{
    out[0] = SP_ID_IDENTITY;
    sp_put_u8(out + 1, (uint8_t)m->request);
    sp_put_u8(out + 2, (uint8_t)m->protocol);
    sp_put_u16(out + 3, (uint16_t)m->table_crc);
    sp_put_u16(out + 5, (uint16_t)m->firmware);
    sp_put_u16(out + 7, (uint16_t)m->boot_count);
    sp_put_u32(out + 9, (uint32_t)m->board_id);
    sp_put_u8(out + 13, (uint8_t)m->abilities);
    sp_put_u8(out + 14, (uint8_t)m->sensor_bits);
    sp_put_u32(out + 15, (uint32_t)m->rate_mhz);
    sp_put_u32(out + 19, (uint32_t)m->steps_per_m);
    sp_put_u32(out + 23, (uint32_t)m->travel_steps);
    sp_put_u32(out + 27, (uint32_t)m->max_speed_steps_s);
    sp_put_u32(out + 31, (uint32_t)m->force_range_mn);
    sp_put_u32(out + 35, (uint32_t)m->counts_per_n);
    for (uint8_t i = 0; i < 16; i++)
        out[39 + i] = (uint8_t)m->name[i];
    return 55;
}

static inline void sp_unpack_identity(sp_identity_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
    m->protocol = (uint8_t)sp_get_u8(payload + 1);
    m->table_crc = (uint16_t)sp_get_u16(payload + 2);
    m->firmware = (uint16_t)sp_get_u16(payload + 4);
    m->boot_count = (uint16_t)sp_get_u16(payload + 6);
    m->board_id = (uint32_t)sp_get_u32(payload + 8);
    m->abilities = (uint8_t)sp_get_u8(payload + 12);
    m->sensor_bits = (uint8_t)sp_get_u8(payload + 13);
    m->rate_mhz = (uint32_t)sp_get_u32(payload + 14);
    m->steps_per_m = (uint32_t)sp_get_u32(payload + 18);
    m->travel_steps = (uint32_t)sp_get_u32(payload + 22);
    m->max_speed_steps_s = (uint32_t)sp_get_u32(payload + 26);
    m->force_range_mn = (uint32_t)sp_get_u32(payload + 30);
    m->counts_per_n = (uint32_t)sp_get_u32(payload + 34);
    for (uint8_t i = 0; i < 16; i++)
        m->name[i] = (char)payload[38 + i];
}

static inline uint8_t sp_pack_ack(const sp_ack_t *m, uint8_t *out)
{
    out[0] = SP_ID_ACK;
    sp_put_u8(out + 1, (uint8_t)m->request);
    sp_put_u8(out + 2, (uint8_t)m->result);
    return 3;
}

static inline void sp_unpack_ack(sp_ack_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
    m->result = (uint8_t)sp_get_u8(payload + 1);
}

static inline uint8_t sp_pack_sample(const sp_sample_t *m, uint8_t *out)
{
    out[0] = SP_ID_SAMPLE;
    sp_put_u16(out + 1, (uint16_t)m->seq);
    sp_put_u32(out + 3, (uint32_t)m->t_us);
    sp_put_u32(out + 7, (uint32_t)m->counts);
    sp_put_u32(out + 11, (uint32_t)m->steps);
    sp_put_u16(out + 15, (uint16_t)m->flags);
    return 17;
}

static inline void sp_unpack_sample(sp_sample_t *m, const uint8_t *payload)
{
    m->seq = (uint16_t)sp_get_u16(payload + 0);
    m->t_us = (uint32_t)sp_get_u32(payload + 2);
    m->counts = (int32_t)sp_get_u32(payload + 6);
    m->steps = (int32_t)sp_get_u32(payload + 10);
    m->flags = (uint16_t)sp_get_u16(payload + 14);
}

static inline uint8_t sp_pack_status(const sp_status_t *m, uint8_t *out)
{
    out[0] = SP_ID_STATUS;
    sp_put_u8(out + 1, (uint8_t)m->request);
    sp_put_u8(out + 2, (uint8_t)m->state);
    sp_put_u32(out + 3, (uint32_t)m->t_us);
    sp_put_u32(out + 7, (uint32_t)m->counts);
    sp_put_u32(out + 11, (uint32_t)m->steps);
    sp_put_u16(out + 15, (uint16_t)m->flags);
    sp_put_u32(out + 17, (uint32_t)m->zero_counts);
    sp_put_u16(out + 21, (uint16_t)m->boot_count);
    sp_put_u16(out + 23, (uint16_t)m->dropped);
    sp_put_u16(out + 25, (uint16_t)m->bad_frames);
    return 27;
}

static inline void sp_unpack_status(sp_status_t *m, const uint8_t *payload)
{
    m->request = (uint8_t)sp_get_u8(payload + 0);
    m->state = (uint8_t)sp_get_u8(payload + 1);
    m->t_us = (uint32_t)sp_get_u32(payload + 2);
    m->counts = (int32_t)sp_get_u32(payload + 6);
    m->steps = (int32_t)sp_get_u32(payload + 10);
    m->flags = (uint16_t)sp_get_u16(payload + 14);
    m->zero_counts = (int32_t)sp_get_u32(payload + 16);
    m->boot_count = (uint16_t)sp_get_u16(payload + 20);
    m->dropped = (uint16_t)sp_get_u16(payload + 22);
    m->bad_frames = (uint16_t)sp_get_u16(payload + 24);
}

static inline uint8_t sp_pack_event(const sp_event_t *m, uint8_t *out)
{
    out[0] = SP_ID_EVENT;
    sp_put_u8(out + 1, (uint8_t)m->code);
    sp_put_u32(out + 2, (uint32_t)m->t_us);
    sp_put_u32(out + 6, (uint32_t)m->counts);
    sp_put_u32(out + 10, (uint32_t)m->steps);
    return 14;
}

static inline void sp_unpack_event(sp_event_t *m, const uint8_t *payload)
{
    m->code = (uint8_t)sp_get_u8(payload + 0);
    m->t_us = (uint32_t)sp_get_u32(payload + 1);
    m->counts = (int32_t)sp_get_u32(payload + 5);
    m->steps = (int32_t)sp_get_u32(payload + 9);
}

static inline uint8_t sp_pack_heartbeat(uint8_t *out)
{
    out[0] = SP_ID_HEARTBEAT;
    return 1;
}

#endif
