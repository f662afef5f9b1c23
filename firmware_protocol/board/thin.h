/* What a board must give the core: time, steps, readings, switches and the line. None of these functions may wait.
 *
 * The core calls them from the main loop only. What must hold even when the main loop hangs is the thin layer's own:
 * it looks at the switches before each step, and makes no step that the core has not planned within the last 2 ms.
 */
#ifndef THIN_H
#define THIN_H

#include <stdbool.h>
#include <stdint.h>

#include "motion.h"

/* Switches, as bits of thin_switches(). A cut wire must read as pressed. */
enum { SWITCH_NEAR = 1, SWITCH_FAR = 2, SWITCH_EMERGENCY = 4 };

/* Why the thin layer has stopped the motor without being told. */
enum halt { HALT_NONE, HALT_LIMIT, HALT_EMERGENCY, HALT_HUNG };

/* What the board remembers over a reset. */
enum memory { MEMORY_STOOD, MEMORY_MOVED, MEMORY_HUNG };

/* One reading, with time and step counter as they were when the amplifier had it ready. */
struct reading {
    uint32_t t_us;
    int32_t counts;
    int32_t steps;
};

uint32_t thin_now_us(void);

/* True once for each millisecond that is to be planned now. */
bool thin_quantum_due(void);

/* Enable the driver, set the direction: steps will follow. */
void thin_start(int8_t direction);

/* Take the steps of the next quantum. */
void thin_plan(const struct quantum *q);

/* True when all planned steps are made. */
bool thin_standing(void);

/* Forget all steps not made yet: the motor stands, and thin_memory() would say so after a reset. */
void thin_halt(void);

/* Why the thin layer stopped the motor since the last call or thin_start(). */
enum halt thin_halted(void);

int32_t thin_position(void);
void thin_set_position(int32_t steps); /* Only while the motor stands. */

uint8_t thin_switches(void);

/* The next reading, if there is one. */
bool thin_reading(struct reading *r);

/* The next byte of the line, if there is one. */
bool thin_receive(uint8_t *byte);

/* Bytes the line can take now, and take them: never more than there is room for. */
uint8_t thin_room(void);
void thin_send(const uint8_t *bytes, uint8_t size);

/* What the board was at when it was reset, and how often it has started. */
enum memory thin_memory(void);
uint16_t thin_boot_count(void);

#endif
