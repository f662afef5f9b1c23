/* What this rig is. The one file to change for a rig of other measures. */
#ifndef BOARD_CONFIG_H
#define BOARD_CONFIG_H

#include <stdint.h>

#define RIG_NAME "reference rig"    /* At most 16 bytes. */
#define FIRMWARE_VERSION 0x0100u    /* High byte major, low byte minor. */
#define BOARD_ID UINT32_C(1)                /* Tell two rigs of one room apart. */
#define SENSOR_BITS 24u
#define RATE_MHZ UINT32_C(80000)            /* Readings in 1000 s: the amplifier's rate pin is tied high. */
#define COUNTS_PER_N UINT32_C(1073742)      /* Nominal: 2 N cell of 1 mV/V, gain 128, 2^23 counts at half the supply. */
#define FORCE_RANGE_MN UINT32_C(2000)

#define STEPS_PER_M UINT32_C(800000)        /* 200 steps a turn, 16 microsteps, 4 mm a turn. */
#define TRAVEL_STEPS UINT32_C(48000)        /* 60 mm. */
#define MAX_SPEED_STEPS_S UINT32_C(8000)    /* 10 mm/s; 2.5 turns/s, which the motor starts and stops at within a step. */
#define ACCELERATION_STEPS_S2 UINT32_C(8000)
#define CRAWL_STEPS_S UINT32_C(100)         /* Speed of the last steps before a target. */

#endif
