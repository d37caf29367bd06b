/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "drive.h"

#include <math.h>

static const double first_hump_share = 0.4; /* of the rise the two humps make: the chest gives less */
static const double creep_ramp = 0.2;       /* the creep reaches its speed in this part of the drive */

static void add_part(struct sim_drive *drive, enum sim_piece_kind kind, double from, double length,
                     double size, double rise_fraction, double fall_fraction)
{
    drive->part[drive->parts++] = (struct sim_piece){.kind = kind,
                                                     .from_s = from,
                                                     .length_s = length,
                                                     .size = size,
                                                     .rise_s = rise_fraction * length,
                                                     .fall_s = fall_fraction * length};
}

/* Two humps apart, and a steady creep under both: between them only the creep moves the bar. Its speed is
 * size / (length (1 - creep_ramp)), so the ratio fixes its size in closed form. */
static void make_sticking(const struct sim_drive_shape *shape, struct sim_drive *drive)
{
    double length = drive->length_s, span = shape->sticking_span;
    double creep = shape->sticking_ratio * (1.0 - creep_ramp);
    double humps = drive->rise_m * (1.0 - creep);
    double first = 0.45 * (1.0 - span) * length, second = (1.0 - span) * length - first;
    add_part(drive, SIM_STROKE, 0.0, first, first_hump_share * humps, 0.5, 0.5);
    add_part(drive, SIM_STROKE, length - second, second, (1.0 - first_hump_share) * humps, 0.5, 0.5);
    add_part(drive, SIM_STROKE, 0.0, length, drive->rise_m * creep, creep_ramp, creep_ramp);
}

void sim_drive_make(const struct sim_drive_shape *shape, double rise_m, double length_s,
                    struct sim_drive *drive)
{
    *drive = (struct sim_drive){.length_s = length_s, .rise_m = rise_m};
    if (shape->sticking) {
        make_sticking(shape, drive);
    } else if (shape->shape == SIM_SHAPE_MIN_JERK) {
        add_part(drive, SIM_MIN_JERK, 0.0, length_s, rise_m, 0.5, 0.5);
    } else {
        add_part(drive, SIM_STROKE, 0.0, length_s, rise_m, shape->rise_fraction, shape->fall_fraction);
    }
}

static struct sim_jet drive_at(const struct sim_drive *drive, double time_s)
{
    struct sim_jet sum = {0};
    for (size_t i = 0; i < drive->parts; i++) {
        struct sim_jet jet = sim_piece_at(&drive->part[i], time_s);
        sum.value += jet.value;
        sum.rate += jet.rate;
        sum.accel += jet.accel;
    }
    return sum;
}

/* Mean velocity between the edges, on a grid: good to a part in a thousand. */
static double edge_mean_velocity(const struct sim_drive *drive)
{
    enum { STEPS = 500 };
    double from = 0.0, from_height = 0.0;
    for (int i = 0; i <= STEPS; i++) {
        double time = drive->length_s * (double)i / STEPS;
        struct sim_jet jet = drive_at(drive, time);
        if (jet.rate > SIM_EDGE_SPEED && i < STEPS) {
            continue;
        }
        if (jet.value < 0.1 * drive->rise_m) {
            from = time;
            from_height = jet.value;
        } else if (jet.value > 0.9 * drive->rise_m) {
            return time > from ? (jet.value - from_height) / (time - from) : 0.0;
        }
    }
    return drive->rise_m / drive->length_s;
}

double sim_drive_length(const struct sim_drive_shape *shape, double rise_m, double mean_speed_m_s)
{
    /* The mean between the edges falls as the drive gets longer; between the bounds it is bracketed. */
    double least = 0.5 * rise_m / mean_speed_m_s, most = 4.0 * rise_m / mean_speed_m_s;
    for (int i = 0; i < 20; i++) {
        struct sim_drive drive;
        double length = 0.5 * (least + most);
        sim_drive_make(shape, rise_m, length, &drive);
        if (edge_mean_velocity(&drive) > mean_speed_m_s) {
            least = length;
        } else {
            most = length;
        }
    }
    return 0.5 * (least + most);
}

void sim_drive_add(const struct sim_drive *drive, double from_s, struct sim_path *height)
{
    for (size_t i = 0; i < drive->parts; i++) {
        struct sim_piece part = drive->part[i];
        part.from_s += from_s;
        sim_path_add(height, &part);
    }
}
