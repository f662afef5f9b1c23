/* Which pin does what, and nothing else. The wiring table of the build guide says the same; a test compares them. */
#ifndef PINS_H
#define PINS_H

#include <avr/io.h>

/* Port D: 0 and 1 are the serial line. */
#define SENSOR_DATA PD2    /* Bridge amplifier, data; falls when a reading is ready. INT0. */
#define EMERGENCY PD3      /* Emergency stop, opens when pressed. INT1. */
#define SENSOR_CLOCK PD4   /* Bridge amplifier, clock. */
#define STEP PD5           /* Stepper driver, step. */
#define DIRECTION PD6      /* Stepper driver, direction; high stretches. */
#define DRIVER_OFF PD7     /* Stepper driver, enable; low holds the motor. */

/* Port B. */
#define NEAR_SWITCH PB0    /* Limit switch where the clamps are closest, opens when pressed. */
#define FAR_SWITCH PB1     /* Limit switch where the clamps are farthest apart, opens when pressed. */

/* Switches are closed at rest and pull their pin to ground: pressed, or with a cut wire, it reads high. */
#define NEAR_PRESSED() (PINB & _BV(NEAR_SWITCH))
#define FAR_PRESSED() (PINB & _BV(FAR_SWITCH))
#define EMERGENCY_PRESSED() (PIND & _BV(EMERGENCY))

#endif
