/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The emulated chip in its world. The README of this folder names the traps that this file steps round.
 */
#include "rig.h"

#include <stdlib.h>
#include <string.h>

#include <simavr/avr_ioport.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <simavr/sim_io.h>

enum { SENSOR_DATA = 2, EMERGENCY = 3, SENSOR_CLOCK = 4, STEP = 5, DIRECTION = 6, DRIVER_OFF = 7 }; /* Port D. */
enum { NEAR_SWITCH = 0, FAR_SWITCH = 1 };                                                          /* Port B. */
enum { FREQUENCY = 16000000, CYCLES_A_BYTE = 704, UNTOUCHED = 0xA5, FRESH_RAM = 0x100 };
enum { EDGES = 0x69, EDGES_POLL = 64 }; /* The register EICRA, and cycles between two looks at it. */

struct rig {
    struct world world;
    avr_t *avr;
    avr_ioport_t *port_b, *port_d;
    avr_irq_t *uart_input;
    avr_irq_t *pins_b, *pins_d;
    void (*chip_reset)(avr_t *);
    bool was_reset;
    double ns_per_cycle;
    uint8_t *to_board;
    size_t to_board_size, to_board_done, to_board_room;
    bool feeding;
    uint8_t *from_board;
    size_t from_board_size, from_board_taken, from_board_room;
    uint8_t patched[2];
};

static int64_t ns_of(const struct rig *rig, avr_cycle_count_t cycle)
{
    return (int64_t)((double)cycle * rig->ns_per_cycle);
}

static avr_cycle_count_t cycle_of(const struct rig *rig, int64_t ns)
{
    return (avr_cycle_count_t)((double)ns / rig->ns_per_cycle + 0.5);
}

int64_t rig_now(const struct rig *rig)
{
    return ns_of(rig, rig->avr->cycle);
}

/* ---- pins ---- */

static void drive(avr_ioport_t *port, avr_irq_t *pins, int pin, bool high)
{
    uint8_t mask = (uint8_t)(1 << pin);
    port->external.pull_mask |= mask;
    port->external.pull_value = (uint8_t)((port->external.pull_value & ~mask) | (high ? mask : 0));
    avr_raise_irq(pins + pin, high);
}

static void drive_data(struct rig *rig)
{
    if (rig->avr->data[EDGES] != 0)
        drive(rig->port_d, rig->pins_d, SENSOR_DATA, world_data(&rig->world));
}

static void drive_switches(struct rig *rig)
{
    drive(rig->port_b, rig->pins_b, NEAR_SWITCH, world_near(&rig->world));
    drive(rig->port_b, rig->pins_b, FAR_SWITCH, world_far(&rig->world));
    if (rig->avr->data[EDGES] != 0)
        drive(rig->port_d, rig->pins_d, EMERGENCY, world_emergency(&rig->world));
}

static void clock_changed(struct avr_irq_t *irq, uint32_t value, void *param)
{
    (void)irq;
    struct rig *rig = param;
    bool before = rig->world.data_high;
    world_clock(&rig->world, value & 1, rig_now(rig));
    if (rig->world.data_high != before)
        drive_data(rig);
}

static void step_changed(struct avr_irq_t *irq, uint32_t value, void *param)
{
    struct rig *rig = param;
    if ((value & 1) == (irq->value & 1))
        return;
    world_step_pin(&rig->world, value & 1, rig_now(rig));
    drive_switches(rig);
}

static void direction_changed(struct avr_irq_t *irq, uint32_t value, void *param)
{
    (void)irq;
    struct rig *rig = param;
    world_direction_pin(&rig->world, value & 1, rig_now(rig));
}

static void driver_off_changed(struct avr_irq_t *irq, uint32_t value, void *param)
{
    (void)irq;
    struct rig *rig = param;
    rig->world.driver_off = value & 1;
}

/* ---- timers: a reset of the chip forgets them ---- */

static avr_cycle_count_t on_conversion(avr_t *avr, avr_cycle_count_t when, void *param)
{
    (void)avr;
    struct rig *rig = param;
    int64_t planned = rig->world.next_conversion_ns;
    if (cycle_of(rig, planned) > when)
        return cycle_of(rig, planned); /* The amplifier has been switched off in between. */
    int64_t next = world_convert(&rig->world, planned);
    drive_data(rig);
    return cycle_of(rig, next);
}

static avr_cycle_count_t on_byte(avr_t *avr, avr_cycle_count_t when, void *param)
{
    (void)avr;
    struct rig *rig = param;
    avr_raise_irq(rig->uart_input, rig->to_board[rig->to_board_done++]);
    rig->feeding = rig->to_board_done < rig->to_board_size;
    return rig->feeding ? when + CYCLES_A_BYTE : 0;
}

static avr_cycle_count_t on_deadline(avr_t *avr, avr_cycle_count_t when, void *param)
{
    (void)avr, (void)when, (void)param;
    return 0; /* Only there so that a sleeping chip wakes at the end of a run. */
}

/* The emulator takes a low interrupt pin for a level interrupt until the program has asked for edges, and for ever. */
static avr_cycle_count_t on_edges_set(avr_t *avr, avr_cycle_count_t when, void *param)
{
    if (avr->data[EDGES] == 0)
        return when + EDGES_POLL;
    drive_data(param);
    drive_switches(param);
    return 0;
}

static void arm_timers(struct rig *rig)
{
    avr_cycle_count_t now = rig->avr->cycle;
    avr_cycle_count_t next = cycle_of(rig, rig->world.next_conversion_ns);
    avr_cycle_timer_register(rig->avr, next > now ? next - now : 1, on_conversion, rig);
    if (rig->feeding)
        avr_cycle_timer_register(rig->avr, CYCLES_A_BYTE, on_byte, rig);
}

static void after_reset(struct rig *rig)
{
    rig->was_reset = false;
    rig->world.driver_off = true; /* A resistor holds the driver off while the chip's pins are open. */
    world_clock(&rig->world, false, rig_now(rig));
    arm_timers(rig);
    drive(rig->port_d, rig->pins_d, SENSOR_DATA, true);
    drive(rig->port_d, rig->pins_d, EMERGENCY, true);
    avr_cycle_timer_register(rig->avr, EDGES_POLL, on_edges_set, rig);
}

static void on_reset(avr_t *avr)
{
    struct rig *rig = avr->custom.data;
    if (rig->chip_reset)
        rig->chip_reset(avr);
    rig->was_reset = true;
}

static void no_sleep(avr_t *avr, avr_cycle_count_t cycles)
{
    (void)avr, (void)cycles;
}

/* ---- the line ---- */

static void on_output(struct avr_irq_t *irq, uint32_t value, void *param)
{
    (void)irq;
    struct rig *rig = param;
    if (rig->from_board_size == rig->from_board_room) {
        rig->from_board_room = rig->from_board_room ? 2 * rig->from_board_room : 4096;
        rig->from_board = realloc(rig->from_board, rig->from_board_room);
    }
    rig->from_board[rig->from_board_size++] = (uint8_t)value;
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
    if (!rig->feeding && size > 0) {
        rig->feeding = true;
        avr_cycle_timer_register(rig->avr, CYCLES_A_BYTE, on_byte, rig);
    }
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

/* ---- making and running ---- */

static avr_ioport_t *find_port(avr_t *avr, char name)
{
    for (avr_io_t *io = avr->io_port; io; io = io->next)
        if (strcmp(io->kind, "port") == 0 && ((avr_ioport_t *)io)->name == name)
            return (avr_ioport_t *)io;
    return NULL;
}

static void connect_pins(struct rig *rig)
{
    rig->port_b = find_port(rig->avr, 'B');
    rig->port_d = find_port(rig->avr, 'D');
    rig->pins_b = avr_io_getirq(rig->avr, AVR_IOCTL_IOPORT_GETIRQ('B'), 0);
    rig->pins_d = avr_io_getirq(rig->avr, AVR_IOCTL_IOPORT_GETIRQ('D'), 0);
    avr_irq_register_notify(rig->pins_d + SENSOR_CLOCK, clock_changed, rig);
    avr_irq_register_notify(rig->pins_d + STEP, step_changed, rig);
    avr_irq_register_notify(rig->pins_d + DIRECTION, direction_changed, rig);
    avr_irq_register_notify(rig->pins_d + DRIVER_OFF, driver_off_changed, rig);
}

static void connect_line(struct rig *rig)
{
    uint32_t flags = 0;
    avr_ioctl(rig->avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
    rig->uart_input = avr_io_getirq(rig->avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT);
    avr_irq_t *output = avr_io_getirq(rig->avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT);
    avr_irq_register_notify(output, on_output, rig);
}

static void say_nothing(struct avr_t *avr, const int level, const char *format, va_list arguments)
{
    (void)avr, (void)level, (void)format, (void)arguments;
}

struct rig *rig_new(const char *image)
{
    avr_global_logger_set(say_nothing);
    elf_firmware_t firmware;
    memset(&firmware, 0, sizeof firmware);
    if (elf_read_firmware(image, &firmware) != 0)
        return NULL;
    struct rig *rig = calloc(1, sizeof *rig);
    world_init(&rig->world);
    rig->ns_per_cycle = 1e9 / FREQUENCY;
    rig->world.next_conversion_ns = (int64_t)(1e9 / rig->world.rate_hz);
    rig->avr = avr_make_mcu_by_name("atmega328p");
    rig->avr->log = LOG_NONE;
    avr_init(rig->avr);
    rig->avr->frequency = FREQUENCY;
    rig->avr->sleep = no_sleep;
    rig->avr->custom.data = rig;
    rig->chip_reset = rig->avr->reset;
    rig->avr->reset = on_reset;
    avr_load_firmware(rig->avr, &firmware);
    memset(rig->avr->data + FRESH_RAM, UNTOUCHED, rig->avr->ramend + 1u - FRESH_RAM);
    connect_pins(rig);
    connect_line(rig);
    after_reset(rig);
    return rig;
}

void rig_free(struct rig *rig)
{
    free(rig->to_board);
    free(rig->from_board);
    rig->avr->custom.data = NULL;
    avr_terminate(rig->avr);
    free(rig);
}

void rig_run(struct rig *rig, int64_t until_ns)
{
    avr_t *avr = rig->avr;
    avr_cycle_count_t end = cycle_of(rig, until_ns);
    if (end <= avr->cycle)
        return;
    avr_cycle_timer_register(avr, end - avr->cycle, on_deadline, rig);
    while (avr->cycle < end) {
        int state = avr_run(avr);
        if (rig->was_reset) {
            after_reset(rig);
            if (end > avr->cycle)
                avr_cycle_timer_register(avr, end - avr->cycle, on_deadline, rig);
        }
        if (state == cpu_Done || state == cpu_Crashed)
            break;
    }
    avr_cycle_timer_cancel(avr, on_deadline, rig);
}

void rig_reset(struct rig *rig, bool power_lost)
{
    if (power_lost)
        for (unsigned at = FRESH_RAM; at <= rig->avr->ramend; at++)
            rig->avr->data[at] = 1; /* Anything may be there; this is what a careless program would believe. */
    avr_reset(rig->avr);
    after_reset(rig);
}

bool rig_set(struct rig *rig, const char *name, double value)
{
    if (strcmp(name, "clock_ppm") == 0) {
        rig->ns_per_cycle = 1e9 / (FREQUENCY * (1 + value * 1e-6));
        return true;
    }
    bool known = world_set(&rig->world, name, value);
    drive_data(rig);
    drive_switches(rig);
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

void rig_hang(struct rig *rig, uint32_t address, bool hang)
{
    static const uint8_t jump_to_itself[2] = {0xFF, 0xCF};
    if (hang)
        memcpy(rig->patched, rig->avr->flash + address, sizeof rig->patched);
    memcpy(rig->avr->flash + address, hang ? jump_to_itself : rig->patched, sizeof rig->patched);
}

void rig_poke(struct rig *rig, uint16_t address, const uint8_t *bytes, size_t size)
{
    memcpy(rig->avr->data + address, bytes, size);
}

size_t rig_untouched(const struct rig *rig, uint16_t from)
{
    size_t count = 0;
    for (unsigned at = from; at <= rig->avr->ramend && rig->avr->data[at] == UNTOUCHED; at++)
        count++;
    return count;
}
