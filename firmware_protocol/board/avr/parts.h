/* What the files of the thin layer know of each other. */
#ifndef PARTS_H
#define PARTS_H

#include <stdbool.h>
#include <stdint.h>

/* A moment, as the timer has it: ticks of 0.5 us, and how often they have overflowed. */
struct moment {
    uint32_t overflows;
    uint16_t ticks;
};

/* Only with interrupts off. */
struct moment clock_moment(void);
uint32_t clock_us(struct moment moment);
void clock_init(void);
bool clock_due(void);
uint16_t clock_quantum_start(void);

void motor_init(void);
void motor_watch(void);      /* Once a millisecond, from the clock's interrupt. */
int32_t motor_position(void); /* Only with interrupts off. */

void sensor_init(void);
void sensor_watch(void); /* Once a millisecond, from the clock's interrupt. */
bool sensor_ready(void);

void line_init(void);
bool line_waiting(void);

void memory_init(void);
void memory_set(uint8_t memory); /* enum memory */

#endif
