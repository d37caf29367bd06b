/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Layouts nobody here has seen, invented to be plausible: other tongues, other ways to write time, units,
 * numbers and remarks. Each holds the motion of support.h and must be read right to its rounding, or refused
 * with the reason.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "import/support.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define G 9.80665
#define DEG 0.017453292519943295
enum { ROWS = 400, RATE = 50 };

/* A row's template: $T time, $D time of day, $M minutes and seconds of the hour, $I index; $X $Y $Z
 * acceleration, $x $y $z the same without gravity, $p $q $r gravity; $u $v $w gyroscope, $U $V $W the
 * gyroscope 3 ms later with $t its time. */
struct variant {
    const char *header, *row;
    double time_unit, force_unit, turn_unit; /* in s, m/s^2, rad/s; 0: 1. Negative force: the other sign */
    double start;                            /* of time, in its unit */
    char point;                              /* '\0': '.' */
    int decimals;                            /* of all but times of day; 0: 6 */
    const char *finding;                     /* that must be there; NULL: none asked for */
};

static void put_clock(struct bp_text *text, double t, bool hours, char point)
{
    char clock[32];
    long ms = lround(1000.0 * t) + 55000; /* 17:59:55, so that the hour changes on the way */
    long minutes = 17 * 60 + 59 + ms / 60000;
    if (hours) {
        snprintf(clock, sizeof clock, "%02ld:%02ld:%02ld%c%03ld", minutes / 60, minutes % 60, ms / 1000 % 60,
                 point, ms % 1000);
    } else {
        snprintf(clock, sizeof clock, "%02ld:%02ld%c%03ld", (minutes + 8) % 60, ms / 1000 % 60, point,
                 ms % 1000);
    }
    bp_text_put(text, clock);
}

static double value_of(char token, double t, size_t i, const struct variant *v)
{
    double force[3], linear[3], turn[3], late[3];
    double a = v->force_unit == 0.0 ? 1.0 : v->force_unit, w = v->turn_unit == 0.0 ? 1.0 : v->turn_unit;
    double s = v->time_unit == 0.0 ? 1.0 : v->time_unit;
    motion_force(t, true, force);
    motion_force(t, false, linear);
    motion_turn(t, turn);
    motion_turn(t + 0.003, late);
    switch (token) {
    case 'T':
        return v->start + t / s;
    case 't':
        return v->start + (t + 0.003) / s;
    case 'I':
        return (double)i;
    case 'X':
    case 'Y':
    case 'Z':
        return force[token - 'X'] / a;
    case 'x':
    case 'y':
    case 'z':
        return linear[token - 'x'] / a;
    case 'p':
    case 'q':
        return 0.0;
    case 'r':
        return 9.81 / a;
    case 'u':
    case 'v':
    case 'w':
        return turn[token - 'u'] / w;
    default:
        return late[token - 'U'] / w;
    }
}

static void put_row(struct bp_text *text, const struct variant *v, size_t i)
{
    double t = (double)i / RATE;
    for (const char *c = v->row; *c != '\0'; c++) {
        if (*c != '$') {
            bp_text_put_char(text, *c);
            continue;
        }
        char token = *++c, point = v->point != '\0' ? v->point : '.';
        if (token == 'D' || token == 'M') {
            put_clock(text, t, token == 'D', point);
            continue;
        }
        size_t from = text->length;
        int decimals = token == 'I' ? 0 : v->decimals != 0 ? v->decimals : 6;
        bp_text_put_number(text, value_of(token, t, i, v), decimals);
        for (size_t k = from; k < text->length; k++) {
            text->data[k] = text->data[k] == '.' ? point : text->data[k];
        }
    }
    bp_text_put_char(text, '\n');
}

static void make_log(struct bp_text *text, const struct variant *v)
{
    bp_text_init(text);
    bp_text_put(text, v->header);
    for (size_t i = 0; i < ROWS; i++) {
        put_row(text, v, i);
    }
    assert_false(text->failed);
}

static void read_variant(struct imported *in, const struct variant *v)
{
    struct bp_text text;
    make_log(&text, v);
    support_bytes(in, text.data, text.length);
    bp_text_free(&text);
}

static void check_variant(struct imported *in, const struct variant *v)
{
    double step =
        pow(10.0, -(v->decimals != 0 ? v->decimals : 6)); /* rounding, and what two of it add up to */
    double a = v->force_unit == 0.0 ? 1.0 : v->force_unit, w = v->turn_unit == 0.0 ? 1.0 : v->turn_unit;
    bool turns = strstr(v->row, "$u") != NULL || strstr(v->row, "$U") != NULL;
    read_variant(in, v);
    if (in->code != BP_OK) {
        fail_msg("%.60s: %s", v->header, in->error.text);
    }
    if (in->trace.gyroscope != turns || in->trace.gravity_removed) {
        fail_msg("%.60s: gyroscope %d, gravity removed %d", v->header, in->trace.gyroscope,
                 in->trace.gravity_removed);
    }
    support_moves(&in->trace, ROWS, RATE, 0.0, a < 0.0 ? -1.0 : 1.0, 1.01 * step * fabs(a) + 1e-8);
    if (turns) { /* the late ones begin 3 ms after the first acceleration, which has the first of them */
        support_turns(&in->trace, 0.0, strstr(v->row, "$U") != NULL ? 0.001 : step * fabs(w) + 1e-8);
    }
    if (v->finding != NULL && support_finding(&in->trace, v->finding) == NULL) {
        fail_msg("%.60s: no finding '%s'", v->header, v->finding);
    }
}

static void check_all(struct imported *in, const struct variant *list, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        check_variant(in, &list[i]);
    }
}
#define CHECK_ALL(list) check_all(*state, list, sizeof(list) / sizeof(list)[0])

static void import_reads_headings_in_other_tongues(void **state)
{
    static const struct variant list[] = {
        {.header =
             "Zeit (s)\tBeschleunigung x (m/s\xb2)\tBeschleunigung y (m/s\xb2)\tBeschleunigung z (m/s\xb2)\t"
             "Drehrate x (rad/s)\tDrehrate y (rad/s)\tDrehrate z (rad/s)\n", /* Latin-1 */
         .row = "$T\t$X\t$Y\t$Z\t$u\t$v\t$w",
         .point = ','},
        {.header = "Zeitstempel [ms];Beschl_X;Beschl_Y;Beschl_Z;wX in \xc2\xb0/s;wY in \xc2\xb0/s;wZ in "
                   "\xc2\xb0/s\n",
         .row = "$T;$X;$Y;$Z;$u;$v;$w",
         .point = ',',
         .time_unit = 1e-3,
         .turn_unit = DEG},
        {.header = "Temps (s);ACC\xc3\x89L\xc3\x89RATION X (m/s\xc2\xb2);ACC\xc3\x89L\xc3\x89RATION Y "
                   "(m/s\xc2\xb2);"
                   "ACC\xc3\x89L\xc3\x89RATION Z (m/s\xc2\xb2);Vitesse angulaire X (\xc2\xb0/s);"
                   "Vitesse angulaire Y (\xc2\xb0/s);Vitesse angulaire Z (\xc2\xb0/s)\n",
         .row = "$T;$X;$Y;$Z;$u;$v;$w",
         .point = ',',
         .turn_unit = DEG},
        {.header = "Temps (s);Acc\xc3\xa9l\xc3\xa9ration lin\xc3\xa9"
                   "aire x (m/s\xc2\xb2);Acc\xc3\xa9l\xc3\xa9ration lin\xc3\xa9"
                   "aire y (m/s\xc2\xb2);Acc\xc3\xa9l\xc3\xa9ration lin\xc3\xa9"
                   "aire z (m/s\xc2\xb2);Gravit\xc3\xa9 x (m/s\xc2\xb2);Gravit\xc3\xa9 y (m/s\xc2\xb2);"
                   "Gravit\xc3\xa9 z (m/s\xc2\xb2)\n",
         .row = "$T;$x;$y;$z;$p;$q;$r",
         .point = ',',
         .finding = "gravity-added"},
        {.header = "Tiempo (ms),Aceleraci\xc3\xb3n X (g),Aceleraci\xc3\xb3n Y (g),Aceleraci\xc3\xb3n Z (g),"
                   "Giroscopio X (rad/s),Giroscopio Y (rad/s),Giroscopio Z (rad/s)\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w",
         .time_unit = 1e-3,
         .force_unit = G},
        {.header = "Id\xc5\x91 (s);Gyorsul\xc3\xa1s x (m/s\xc2\xb2);Gyorsul\xc3\xa1s y (m/s\xc2\xb2);"
                   "Gyorsul\xc3\xa1s z (m/s\xc2\xb2);Sz\xc3\xb6gsebess\xc3\xa9g x (rad/s);"
                   "Sz\xc3\xb6gsebess\xc3\xa9g y (rad/s);Sz\xc3\xb6gsebess\xc3\xa9g z (rad/s)\n",
         .row = "$T;$X;$Y;$Z;$u;$v;$w",
         .point = ','},
        {.header =
             "Id\xc5\x91;Line\xc3\xa1ris gyorsul\xc3\xa1s x (m/s\xc2\xb2);Line\xc3\xa1ris gyorsul\xc3\xa1s y "
             "(m/s\xc2\xb2);Line\xc3\xa1ris gyorsul\xc3\xa1s z (m/s\xc2\xb2);Gravit\xc3\xa1"
             "ci\xc3\xb3 x;Gravit\xc3\xa1"
             "ci\xc3\xb3 y;Gravit\xc3\xa1"
             "ci\xc3\xb3 z\n",
         .row = "$T;$x;$y;$z;$p;$q;$r",
         .point = ',',
         .finding = "gravity-added"},
        {.header =
             "Tempo (s);Acelera\xc3\xa7\xc3\xa3o x (m/s\xc2\xb2);Acelera\xc3\xa7\xc3\xa3o y (m/s\xc2\xb2);"
             "Acelera\xc3\xa7\xc3\xa3o z (m/s\xc2\xb2)\n",
         .row = "$T;$X;$Y;$Z",
         .point = ','},
        {.header =
             "\xe6\x97\xb6\xe9\x97\xb4 (s),\xe5\x8a\xa0\xe9\x80\x9f\xe5\xba\xa6x (m/s\xc2\xb2),"
             "\xe5\x8a\xa0\xe9\x80\x9f\xe5\xba\xa6y (m/s\xc2\xb2),\xe5\x8a\xa0\xe9\x80\x9f\xe5\xba\xa6z "
             "(m/s\xc2\xb2)\n",
         .row = "$T,$X,$Y,$Z"},
    };
    CHECK_ALL(list);
}

static void import_reads_headings_in_more_tongues(void **state)
{
    static const struct variant list[] = {
        {.header = "Zaman,\xc4\xb0vme X,\xc4\xb0vme Y,\xc4\xb0vme Z,Jiroskop X,Jiroskop Y,Jiroskop Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header =
             "\xc4\x8c"
             "as,Zrychlen\xc3\xad X,Zrychlen\xc3\xad Y,Zrychlen\xc3\xad Z,Gyroskop X,Gyroskop Y,Gyroskop Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "Aika,Kiihtyvyys X,Kiihtyvyys Y,Kiihtyvyys Z,Gyroskooppi X,Gyroskooppi Y,Gyroskooppi Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "Timp,Accelera\xc8\x9bie X,Accelera\xc8\x9bie Y,Accelera\xc8\x9bie Z,Giroscop X,Giroscop "
                   "Y,Giroscop Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "Vrijeme,Akceleracija X,Akceleracija Y,Akceleracija Z,\xc5\xbdiroskop X,\xc5\xbdiroskop "
                   "Y,\xc5\xbdiroskop Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "\xd0\x92\xd1\x80\xd0\xb5\xd0\xbc\xd1\x8f,"
                   "\xd0\xa3\xd1\x81\xd0\xba\xd0\xbe\xd1\x80\xd0\xb5\xd0\xbd\xd0\xb8\xd0\xb5 "
                   "X,\xd0\xa3\xd1\x81\xd0\xba\xd0\xbe\xd1\x80\xd0\xb5\xd0\xbd\xd0\xb8\xd0\xb5 "
                   "Y,\xd0\xa3\xd1\x81\xd0\xba\xd0\xbe\xd1\x80\xd0\xb5\xd0\xbd\xd0\xb8\xd0\xb5 "
                   "Z,\xd0\x93\xd0\xb8\xd1\x80\xd0\xbe\xd1\x81\xd0\xba\xd0\xbe\xd0\xbf "
                   "X,\xd0\x93\xd0\xb8\xd1\x80\xd0\xbe\xd1\x81\xd0\xba\xd0\xbe\xd0\xbf "
                   "Y,\xd0\x93\xd0\xb8\xd1\x80\xd0\xbe\xd1\x81\xd0\xba\xd0\xbe\xd0\xbf Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header =
             "\xd0\xa7\xd0\xb0\xd1\x81,"
             "\xd0\x9f\xd1\x80\xd0\xb8\xd1\x81\xd0\xba\xd0\xbe\xd1\x80\xd0\xb5\xd0\xbd\xd0\xbd\xd1\x8f "
             "X,\xd0\x9f\xd1\x80\xd0\xb8\xd1\x81\xd0\xba\xd0\xbe\xd1\x80\xd0\xb5\xd0\xbd\xd0\xbd\xd1\x8f "
             "Y,\xd0\x9f\xd1\x80\xd0\xb8\xd1\x81\xd0\xba\xd0\xbe\xd1\x80\xd0\xb5\xd0\xbd\xd0\xbd\xd1\x8f "
             "Z,\xd0\x93\xd1\x96\xd1\x80\xd0\xbe\xd1\x81\xd0\xba\xd0\xbe\xd0\xbf "
             "X,\xd0\x93\xd1\x96\xd1\x80\xd0\xbe\xd1\x81\xd0\xba\xd0\xbe\xd0\xbf "
             "Y,\xd0\x93\xd1\x96\xd1\x80\xd0\xbe\xd1\x81\xd0\xba\xd0\xbe\xd0\xbf Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "\xce\xa7\xcf\x81\xcf\x8c\xce\xbd\xce\xbf\xcf\x82,"
                   "\xce\x95\xce\xa0\xce\x99\xce\xa4\xce\x86\xce\xa7\xce\xa5\xce\x9d\xce\xa3\xce\x97 "
                   "X,\xce\x95\xce\xa0\xce\x99\xce\xa4\xce\x86\xce\xa7\xce\xa5\xce\x9d\xce\xa3\xce\x97 "
                   "Y,\xce\x95\xce\xa0\xce\x99\xce\xa4\xce\x86\xce\xa7\xce\xa5\xce\x9d\xce\xa3\xce\x97 "
                   "Z,\xce\x93\xcf\x85\xcf\x81\xce\xbf\xcf\x83\xce\xba\xcf\x8c\xcf\x80\xce\xb9\xce\xbf "
                   "X,\xce\x93\xcf\x85\xcf\x81\xce\xbf\xcf\x83\xce\xba\xcf\x8c\xcf\x80\xce\xb9\xce\xbf "
                   "Y,\xce\x93\xcf\x85\xcf\x81\xce\xbf\xcf\x83\xce\xba\xcf\x8c\xcf\x80\xce\xb9\xce\xbf Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "\xec\x8b\x9c\xea\xb0\x84,\xea\xb0\x80\xec\x86\x8d\xeb\x8f\x84 "
                   "X,\xea\xb0\x80\xec\x86\x8d\xeb\x8f\x84 Y,\xea\xb0\x80\xec\x86\x8d\xeb\x8f\x84 "
                   "Z,\xec\x9e\x90\xec\x9d\xb4\xeb\xa1\x9c X,\xec\x9e\x90\xec\x9d\xb4\xeb\xa1\x9c "
                   "Y,\xec\x9e\x90\xec\x9d\xb4\xeb\xa1\x9c Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header =
             "\xe6\x97\xb6\xe9\x97\xb4,\xe5\x8a\xa0\xe9\x80\x9f\xe5\xba\xa6\xe8\xae\xa1 "
             "X,\xe5\x8a\xa0\xe9\x80\x9f\xe5\xba\xa6\xe8\xae\xa1 "
             "Y,\xe5\x8a\xa0\xe9\x80\x9f\xe5\xba\xa6\xe8\xae\xa1 Z,\xe9\x99\x80\xe8\x9e\xba\xe4\xbb\xaa "
             "X,\xe9\x99\x80\xe8\x9e\xba\xe4\xbb\xaa Y,\xe9\x99\x80\xe8\x9e\xba\xe4\xbb\xaa Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "Tid,Akselerasjon X,Akselerasjon Y,Akselerasjon Z,Vinkelhastighed X,Vinkelhastighed "
                   "Y,Vinkelhastighed Z\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header =
             "\xd0\x92\xd1\x80\xd0\xb5\xd0\xbc\xd1\x8f "
             "(\xd0\xbc\xd1\x81);\xd0\xa3\xd1\x81\xd0\xba\xd0\xbe\xd1\x80\xd0\xb5\xd0\xbd\xd0\xb8\xd0\xb5 X "
             "(\xd0\xbc/"
             "\xd1\x81\xc2\xb2);\xd0\xa3\xd1\x81\xd0\xba\xd0\xbe\xd1\x80\xd0\xb5\xd0\xbd\xd0\xb8\xd0\xb5 Y "
             "(\xd0\xbc/"
             "\xd1\x81\xc2\xb2);\xd0\xa3\xd1\x81\xd0\xba\xd0\xbe\xd1\x80\xd0\xb5\xd0\xbd\xd0\xb8\xd0\xb5 Z "
             "(\xd0\xbc/\xd1\x81\xc2\xb2);\xd0\x93\xd0\xb8\xd1\x80\xd0\xbe\xd1\x81\xd0\xba\xd0\xbe\xd0\xbf X "
             "(\xd1\x80\xd0\xb0\xd0\xb4/"
             "\xd1\x81);\xd0\x93\xd0\xb8\xd1\x80\xd0\xbe\xd1\x81\xd0\xba\xd0\xbe\xd0\xbf Y "
             "(\xd1\x80\xd0\xb0\xd0\xb4/"
             "\xd1\x81);\xd0\x93\xd0\xb8\xd1\x80\xd0\xbe\xd1\x81\xd0\xba\xd0\xbe\xd0\xbf Z "
             "(\xd1\x80\xd0\xb0\xd0\xb4/\xd1\x81)\n",
         .row = "$T;$X;$Y;$Z;$u;$v;$w",
         .time_unit = 1e-3},
    };
    CHECK_ALL(list);
}

static void import_reads_times_however_they_are_written(void **state)
{
    static const struct variant list[] = {
        {.header = "Time,Ax,Ay,Az\n", .row = "$D,$X,$Y,$Z"},
        {.header = "Time,Ax,Ay,Az\n", .row = "$M,$X,$Y,$Z"},
        {.header = "Time,Ax,Ay,Az\n", .row = "01/02/2025 $D,$X,$Y,$Z"},
        {.header = "Datum;Ax;Ay;Az\n", .row = "2025. 02. 01. $D;$X;$Y;$Z"},
        {.header = "Datum;Ax;Ay;Az\n", .row = "01.02.2025 $D;$X;$Y;$Z", .point = ','},
        {.header = "when,Ax,Ay,Az\n", .row = "01-Feb-2025 $D,$X,$Y,$Z", .finding = "time-assumed"},
        {.header = "stuff,Ax,Ay,Az\n", .row = "$T,$X,$Y,$Z", .finding = "time-assumed"},
        {.header = "Date,Time,Ax (g),Ay (g),Az (g)\n", .row = "2025-01-01,$D,$X,$Y,$Z", .force_unit = G},
        {.header = "Datum;Uhrzeit;Ax (g);Ay (g);Az (g)\n", .row = "01.01.2025;$D;$X;$Y;$Z", .force_unit = G},
        {.header = "epoch_ms,acc_x,acc_y,acc_z\n",
         .row = "$T,$X,$Y,$Z",
         .time_unit = 1e-3,
         .start = 1735732800000.0},
        {.header = "timestamp,x,y,z\n", .row = "$T,$X,$Y,$Z", .time_unit = 1e-9, .start = 1.2345678e14},
        {.header = "Time (min),ax (m/s2),ay (m/s2),az (m/s2)\n",
         .row = "$T,$X,$Y,$Z",
         .time_unit = 60.0,
         .decimals = 9},
        {.header = "ax,ay,az,time\n", .row = "$X,$Y,$Z,$T"},
        {.header = ",time,ax,ay,az\n", .row = "$I,$T,$X,$Y,$Z"},
        {.header = "", .row = "$I,$T,$X,$Y,$Z", .finding = "no-header"},
        {.header = "Index,Timestamp (ms),ax,ay,az\n", .row = "$I,$T,$X,$Y,$Z", .time_unit = 1e-3},
        {.header = "time,ax,ay,az\n", .row = "01/02/25 $D,$X,$Y,$Z"},
        {.header = "time,ax,ay,az\n", .row = "01.02.25 $D,$X,$Y,$Z"},
        {.header = "time,ax,ay,az\n", .row = "01 Feb 2025 $D,$X,$Y,$Z"},
        {.header = "time,ax,ay,az\n", .row = "\"Feb 1, 2025 $D\",$X,$Y,$Z"},
        {.header = "time,ax,ay,az\n", .row = "2025-02-01 $D UTC,$X,$Y,$Z"},
        {.header = "time,ax,ay,az\n", .row = "2025-02-01T$D+01:00[Europe/Budapest],$X,$Y,$Z"},
        {.header = "time,ax,ay,az\n", .row = "2 days $D,$X,$Y,$Z"},
    };
    CHECK_ALL(list);
}

static void import_reads_units_however_they_are_written(void **state)
{
    static const struct variant list[] = {
        {.header = "TIME,ACCEL_X (G),ACCEL_Y (G),ACCEL_Z (G)\n", .row = "$T,$X,$Y,$Z", .force_unit = G},
        {.header = "TIME,X_G,Y_G,Z_G\n", .row = "$T,$X,$Y,$Z", .force_unit = -G},
        {.header = "Timestamp [ms],Acc_X [mg],Acc_Y [mg],Acc_Z [mg],Gyr_X [mdps],Gyr_Y [mdps],Gyr_Z [mdps]\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w",
         .time_unit = 1e-3,
         .force_unit = 1e-3 * G,
         .turn_unit = 1e-3 * DEG},
        {.header = "Time_s,Ax_g,Ay_g,Az_g,Gx_dps,Gy_dps,Gz_dps\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w",
         .force_unit = G,
         .turn_unit = DEG},
        {.header = "time (s),ax (cm/s\xc2\xb2),ay (cm/s\xc2\xb2),az (cm/s\xc2\xb2)\n",
         .row = "$T,$X,$Y,$Z",
         .force_unit = 0.01},
        {.header = "time (s),accX_cm/s^2,accY_cm/s^2,accZ_cm/s^2\n",
         .row = "$T,$X,$Y,$Z",
         .force_unit = 0.01},
        {.header = "time_us,accel_x_mps2,accel_y_mps2,accel_z_mps2,gyro_x_radps,gyro_y_radps,gyro_z_radps\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w",
         .time_unit = 1e-6},
        {.header = "ts,accelX,accelY,accelZ,rotRateX,rotRateY,rotRateZ\n", .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "t / s;Beschleunigung x / m/s\xc2\xb2;Beschleunigung y / m/s\xc2\xb2;Beschleunigung z / "
                   "m/s\xc2\xb2\n",
         .row = "$T;$X;$Y;$Z"},
        {.header = "\"time, s\",\"X-axis acceleration, m/s^2\",\"Y-axis acceleration, m/s^2\",\"Z-axis "
                   "acceleration, m/s^2\"\n",
         .row = "$T,$X,$Y,$Z"},
        {.header = "time_ms,acceleration_m/s^2_x,acceleration_m/s^2_y,acceleration_m/s^2_z\n",
         .row = "$T,$X,$Y,$Z",
         .time_unit = 1e-3},
        {.header = "Time,Accelerometer[x],Accelerometer[y],Accelerometer[z],Gyroscope[x],Gyroscope[y],"
                   "Gyroscope[z]\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "time,ax,ay,az\ns,g,g,g\n", .row = "$T,$X,$Y,$Z", .force_unit = G},
        {.header = "t,x,y,z\n", .row = "$T,$X,$Y,$Z", .finding = "units-inferred"},
        {.header =
             "timestamp(s),userAcceleration.x(G),userAcceleration.y(G),userAcceleration.z(G),gravity.x(G),"
             "gravity.y(G),gravity.z(G),rotationRate.x(rad/s),rotationRate.y(rad/s),rotationRate.z(rad/s)\n",
         .row = "$T,$x,$y,$z,$p,$q,$r,$u,$v,$w",
         .force_unit = -G,
         .finding = "gravity-added"},
        {.header = "time,total_acc_x,total_acc_y,total_acc_z,body_acc_x,body_acc_y,body_acc_z\n",
         .row = "$T,$X,$Y,$Z,$x,$y,$z",
         .force_unit = G},
        {.header =
             "time (s),ax (ft/s\xc2\xb2),ay (ft/s\xc2\xb2),az (ft/s\xc2\xb2),gx (rpm),gy (rpm),gz (rpm)\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w",
         .force_unit = 0.3048,
         .turn_unit = 6.0 * DEG,
         .decimals = 9},
        {.header = "ms,x_mg,y_mg,z_mg,gx_mdps,gy_mdps,gz_mdps\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w",
         .time_unit = 1e-3,
         .force_unit = 1e-3 * G,
         .turn_unit = 1e-3 * DEG},
        {.header = "time (s),ax (\xc2\xb5g),ay (\xc2\xb5g),az (\xc2\xb5g)\n",
         .row = "$T,$X,$Y,$Z",
         .force_unit = 1e-6 * G},
        {.header = "t (s),ax (meters per second squared),ay (meters per second squared),az (meters per "
                   "second squared),gx (\xc2\xba/s),gy (\xc2\xba/s),gz (\xc2\xba/s)\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w",
         .turn_unit = DEG},
        {.header = "time,acc x,acc y,acc z\n[ms],[mg],[mg],[mg]\n",
         .row = "$T,$X,$Y,$Z",
         .time_unit = 1e-3,
         .force_unit = 1e-3 * G},
        {.header = "time,acc,,,gyro,,\n,x,y,z,x,y,z\n", .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "time,acc x,acc y,acc z\nfloat,float,float,float\n", .row = "$T,$X,$Y,$Z"},
        {.header = "time,acc1,acc2,acc3,gyro_0,gyro_1,gyro_2\n", .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "timestamp,values[0],values[1],values[2]\n", .row = "$T,$X,$Y,$Z"},
        {.header = "t,ax,ay,az,agx,agy,agz\n", .row = "$T,$x,$y,$z,$X,$Y,$Z"},
    };
    CHECK_ALL(list);
}

static void import_reads_numbers_and_rows_however_they_are_written(void **state)
{
    static const struct variant list[] = {
        {.header = "Time (s);X (m/s^2);Y (m/s^2);Z (m/s^2);\n", .row = "$T;$X;$Y;$Z;"},
        {.header = "\"time\",\"ax\",\"ay\",\"az\"\n", .row = "\"$T\",\"$X\",\"$Y\",\"$Z\""},
        {.header = "\"time\",\"ax\",\"ay\",\"az\"\n", .row = "\"$T\",\"$X\",\"$Y\",\"$Z\"", .point = ','},
        {.header = "time, acc x, acc y, acc z\n", .row = "$T, $X, $Y, $Z"},
        {.header = "sep=;\ntime;ax;ay;az\n", .row = "$T;$X;$Y;$Z"},
        {.header = "Device,any\nRate,100\nStart,2025-01-01 12:00:00\n\nTime (s),X (m/s2),Y (m/s2),Z (m/s2)\n",
         .row = "$T,$X,$Y,$Z"},
        {.header = "% a remark\n% another, with, commas\ntime;ax;ay;az\n", .row = "$T;$X;$Y;$Z"},
        {.header = "\xef\xbb\xbftime,ax,ay,az\r\n", .row = "$T,$X,$Y,$Z\r"},
        {.header = "time|ax|ay|az\n", .row = "$T|$X|$Y|$Z"},
        {.header = "time | ax | ay | az\n", .row = "$T | $X | $Y | $Z"},
        {.header = "time ax ay az\n", .row = "$T $X  $Y   $Z"},
        {.header = "  time   ax   ay   az  \n", .row = "   $T  $X  $Y  $Z  "},
        {.header = "time \"acc x\" \"acc y\" \"acc z\"\n", .row = "$T\t $X $Y $Z"},
        {.header = "time  ax  ay  az\n", .row = "$T  $X  $Y  $Z", .point = ','},
        {.header = "", .row = "$T $X $Y $Z", .finding = "no-header"},
        {.header = "date time ax ay az\n", .row = "2025-02-01 $D $X $Y $Z"},
        {.header = "t,f_x,f_y,f_z,omega_x,omega_y,omega_z\n", .row = "$T,$X,$Y,$Z,$u,$v,$w"},
        {.header = "# t,acc,acc,acc,gyr,gyr,gyr\n# s,g,g,g,deg/s,deg/s,deg/s\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w",
         .force_unit = G,
         .turn_unit = DEG},
        {.header = "# s,m/s2,m/s2,m/s2\n# t,ax,ay,az\n", .row = "$T,$X,$Y,$Z"},
    };
    CHECK_ALL(list);
}

/* The same motion as JSON: how one row is written, and what stands around them. */
static void import_reads_json_in_the_shapes_phones_share(void **state)
{
    static const struct {
        const char *before, *row, *between, *behind;
        bool turns;
    } list[] = {
        {"[", "{\"t\":$T,\"ax\":$X,\"ay\":$Y,\"az\":$Z,\"gx\":$u,\"gy\":$v,\"gz\":$w}", ",", "]", true},
        {"", "{\"t\": $T, \"ax\": \"$X\", \"ay\": \"$Y\", \"az\": \"$Z\"}", "\n", "\n", false},
        {"{\"device\":\"phone\",\"data\":[", "{\"t\":$T,\"acc\":{\"z\":$Z,\"y\":$Y,\"x\":$X}}", ",\n", "]}",
         false},
        {"[", "{\"name\":\"accelerometer\",\"time\":$T,\"values\":[$X,$Y,$Z]}", ", ", "]", false},
        {"[[\"t\",\"ax\",\"ay\",\"az\"],", "[$T,$X,$Y,$Z]", ",", "]", false},
        {"", "{\"t\": $T, \"ax\": $X, \"ay\": $Y, \"az\": $Z}", "\n", "\n{\"t\": 8.0, \"ax\"", false},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct variant v = {.header = "", .row = list[i].row};
        struct bp_text text;
        bp_text_init(&text);
        bp_text_put(&text, list[i].before);
        for (size_t k = 0; k < ROWS; k++) {
            put_row(&text, &v, k);
            text.length--; /* the row's own line end */
            bp_text_put(&text, k + 1 < ROWS ? list[i].between : list[i].behind);
        }
        support_bytes(in, text.data, text.length);
        bp_text_free(&text);
        if (in->code != BP_OK) {
            fail_msg("%s: %s", list[i].row, in->error.text);
        }
        assert_int_equal(in->trace.gyroscope, list[i].turns);
        support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 1e-5);
        if (list[i].turns) {
            support_turns(&in->trace, 0.0, 1e-5);
        }
        assert_memory_equal(in->trace.recognised.container, "JSON", 4);
    }
}

static void import_tells_what_it_did_not_read(void **state)
{
    static const struct variant list[] = {
        {.header = "time,accelX,accelY,accelZ,gyroX,gyroY,gyroZ,quatW,quatX,quatY,quatZ\n",
         .row = "$T,$X,$Y,$Z,$u,$v,$w,1,0,0,0",
         .finding = "attitude-ignored"},
        {.header = "time,ax,ay,az,pitch,yaw\n", .row = "$T,$X,$Y,$Z,2,3", .finding = "attitude-ignored"},
        {.header = "time,ax,ay,az,qw,qx,qy,qz\n", /* turned over */
         .row = "$T,$X,$Y,$Z,0.7071,0.7071,0,0",
         .finding = "attitude-ignored"},
        {.header = "time,ax,ay,az,gyro_time,gx,gy,gz\n",
         .row = "$T,$X,$Y,$Z,$t,1,2,3",
         .finding = "gyro-ignored"},
        {.header = "time,ax,ay,az,gyro_z\n", .row = "$T,$X,$Y,$Z,3", .finding = "gyro-ignored"},
        {.header = "time,left acc x,left acc y,left acc z,right acc x,right acc y,right acc z\n",
         .row = "$T,$X,$Y,$Z,$X,$Y,$Z",
         .finding = "second-acceleration"},
    };
    CHECK_ALL(list);
}

static void import_takes_rows_apart_that_say_whose_they_are(void **state)
{
    static const struct variant list[] = {
        {.header = "x,y,z,timestamp,sensor\n",
         .row = "$X,$Y,$Z,$T,accelerometer\n$U,$V,$W,$t,gyroscope",
         .finding = "rows-chosen"},
        {.header = "sensor_type,timestamp,x,y,z\n",
         .row = "1,$T,$X,$Y,$Z\n4,$t,$U,$V,$W\n2,$t,20,3,4",
         .finding = "rows-chosen"},
        {.header = "timestamp;type;v0;v1;v2\n",
         .row = "$T;TYPE_ACCELEROMETER;$X;$Y;$Z\n$t;TYPE_GYROSCOPE;$U;$V;$W",
         .finding = "rows-chosen"},
        {.header = "timestamp,sensor,x,y,z\n",
         .row = "$T,accelerometer,$X,$Y,$Z\n$t,gyroscope,$U,$V,$W",
         .finding = "rows-chosen"},
        {.header = "timestamp,sensor,x,y,z\n", .row = "$T,accelerometer,$X,$Y,$Z\n$t,unheard of,1,2,3"},
        {.header = "timestamp,sensor,x,y,z\n",
         .row = "$T,light,1,2,3\n$T,linear_acceleration,$x,$y,$z\n$T,accelerometer,$X,$Y,$Z\n$t,gyroscope,$U,"
                "$V,$W"},
        {.header = "timestamp;sensor;x;y;z\n",
         .row = "$T;linear acceleration;$x;$y;$z\n$T;gravity;$p;$q;$r",
         .finding = "gravity-added"},
        {.header = "", .row = "ACC,$T,$X,$Y,$Z\nGYR,$t,$U,$V,$W", .time_unit = 1e-3, .finding = "no-header"},
        /* a code of each sensor's accuracy behind the axes, and a sensor of fewer of them */
        {.header = "", .row = "ACCE;$T;$X;$Y;$Z;3\nGYRO;$t;$U;$V;$W;3", .finding = "no-header"},
        {.header = "% time;time;values;accuracy\n",
         .row = "ACCE;$T;$T;$X;$Y;$Z;3\nGYRO;$t;$t;$U;$V;$W;3\nPRES;$t;$t;1013.25;0",
         .finding = "no-header"},
    };
    CHECK_ALL(list);
}

/* Words in a column that are no sensors' are labels, and no row is left out for them. */
static void import_takes_labels_for_labels(void **state)
{
    struct imported *in = *state;
    static const char *const labels[][2] = {{"a", "b"}, {"acc", "dec"}, {"up", "down"}, {"x", "x"}};
    for (size_t k = 0; k < sizeof labels / sizeof labels[0]; k++) {
        struct bp_text text;
        struct variant v = {.header = "time,phase,ax,ay,az\n"};
        char rows[2][64];
        bp_text_init(&text);
        bp_text_put(&text, v.header);
        for (size_t i = 0; i < ROWS; i++) {
            snprintf(rows[i % 2], sizeof rows[0], "$T,%s,$X,$Y,$Z", labels[k][i % 2]);
            v.row = rows[i % 2];
            put_row(&text, &v, i);
        }
        assert_int_equal(support_bytes(in, text.data, text.length), BP_OK);
        bp_text_free(&text);
        support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 6e-7);
        assert_null(support_finding(&in->trace, "rows-chosen"));
    }
}

static void import_passes_thousands_of_lines_before_the_header(void **state)
{
    struct imported *in = *state;
    static const char *const remarks[] = {
        "Key %d: value, more, things\n", "# key%d=1,2,3,4\n",
        "Key %d: a long line that says nothing, and then goes on to say it in other words once more\n"};
    for (size_t k = 0; k < 3; k++) {
        struct bp_text text;
        char line[160];
        struct variant v = {.header = "", .row = "$T,$X,$Y,$Z"};
        bp_text_init(&text);
        for (int i = 0; i < 6000; i++) {
            snprintf(line, sizeof line, remarks[k], i);
            bp_text_put(&text, line);
        }
        bp_text_put(&text, "Time (s),X (m/s^2),Y (m/s^2),Z (m/s^2)\n");
        for (size_t i = 0; i < ROWS; i++) {
            put_row(&text, &v, i);
        }
        assert_int_equal(support_bytes(in, text.data, text.length), BP_OK);
        support_moves(&in->trace, ROWS, RATE, 0.0, 1.0, 6e-7);
        bp_text_put(&text, "9,9,9,9,9\n"); /* lines are still counted as an editor does */
        support_bytes(in, text.data, text.length);
        support_refused(in, BP_ERR_COLUMNS, 6000 + 1 + ROWS + 1, 5, "more cells");
        bp_text_free(&text);
    }
}

static void import_refuses_with_the_reason_what_it_cannot_tell(void **state)
{
    static const struct {
        struct variant variant;
        enum bp_code code;
        const char *part;
    } list[] = {
        {{.header = "Sample,ax,ay,az\n", .row = "$I,$X,$Y,$Z"}, BP_ERR_COLUMNS, "--rate"},
        {{.header = "", .row = "$I,$X,$Y,$Z"}, BP_ERR_COLUMNS, "--rate"},
        {{.header = "frame,ax,ay,az\n", .row = "$I,$X,$Y,$Z"}, BP_ERR_COLUMNS, "--rate"},
        {{.header = "time,acc lateral,acc forward,acc up\n", .row = "$T,$X,$Y,$Z"},
         BP_ERR_COLUMNS,
         "--columns"},
        {{.header = "time,red,green,blue\n", .row = "$T,$X,$Y,$Z"}, BP_ERR_COLUMNS, "--columns"},
        {{.header = "time,ax,ay,az\n", .row = "$T,$X,$Y,$Z", .force_unit = G / 16384.0, .decimals = 1},
         BP_ERR_UNITS,
         "--units"},
    };
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        read_variant(in, &list[i].variant);
        support_refused(in, list[i].code, 0, 0, list[i].part);
    }
}

static void import_takes_the_rate_that_the_lines_above_the_rows_tell(void **state)
{
    static const struct variant list[] = {
        {.header = "Sampling rate: 50 Hz\nax,ay,az\n", .row = "$X,$Y,$Z", .finding = "rate-told"},
        {.header = "# sample_rate_hz = 50.0\n# fs = 2\nax,ay,az\n",
         .row = "$X,$Y,$Z",
         .finding = "rate-told"},
        {.header = "Sample Rate (Hz),50\nax,ay,az\n", .row = "$X,$Y,$Z", .finding = "rate-told"},
        {.header = "@ Date: 2025-01-01 Sampling Rate:20ms\n\n", .row = "$X,$Y,$Z", .finding = "rate-told"},
        {.header = "Sample interval [ms]: 20\nax,ay,az\n", .row = "$X,$Y,$Z", .finding = "rate-told"},
        {.header = "Sampling rate [hertz]: 50\nax,ay,az\n", .row = "$X,$Y,$Z", .finding = "rate-told"},
        {.header = "sample interval in ms: 20\nax,ay,az\n", .row = "$X,$Y,$Z", .finding = "rate-told"},
        {.header = "% fs=50Hz\nax,ay,az\n", .row = "$X,$Y,$Z", .finding = "rate-told"},
        {.header = "samplingRate;50\nSample;ax;ay;az\n", .row = "$I;$X;$Y;$Z", .finding = "rate-told"},
        {.header = "accelerometer sampling rate: 50 Hz\ngyroscope sampling rate: 50.01 Hz\nax,ay,az\n",
         .row = "$X,$Y,$Z",
         .finding = "rate-told"},
    };
    CHECK_ALL(list);
}

/* Longer than a line is looked at. */
#define A_LINE                                                                                               \
    "#0123456789012345678901234567890123456789012345678901234567890123456789012345678901234567890123456789"
#define LONG_REMARK A_LINE A_LINE A_LINE A_LINE A_LINE A_LINE

/* What is no rate, might be another's, or one of several; and times in the rows say more. */
static void import_takes_no_rate_that_is_not_told(void **state)
{
    static const char *const headers[] = {"fs = 50\n",
                                          "heart rate: 50\n",
                                          "offs: 50 Hz\n",
                                          "sampling rate: fast\n",
                                          "sampling rate 1: 50 Hz\n",
                                          "sampling rate: 2 Hz\n",
                                          "sampling rate: 5000 Hz\n",
                                          "sampling rate: 50.0.0 Hz\n",
                                          "sampling rate: 50 of things without a name\n",
                                          "sample interval: 0 ms\n",
                                          LONG_REMARK "sampling rate: 50 Hz\n",
                                          "sample interval: 50\n",
                                          "sample interval: 50 Hz\n",
                                          "sample interval: 20 kg\n",
                                          "gyroscope sample rate: 25 Hz\naccelerometer sample rate: 50 Hz\n"};
    struct imported *in = *state;
    for (size_t i = 0; i < sizeof headers / sizeof headers[0]; i++) {
        char header[1024];
        struct variant v = {.header = header, .row = "$X,$Y,$Z"};
        snprintf(header, sizeof header, "%sax,ay,az\n", headers[i]);
        read_variant(in, &v);
        support_refused(in, BP_ERR_COLUMNS, 0, 0, "--rate");
    }
    struct variant timed = {.header = "Sampling rate: 100 Hz\nt,ax,ay,az\n", .row = "$T,$X,$Y,$Z"};
    check_variant(in, &timed);
    assert_null(support_finding(&in->trace, "rate-told"));
}

/* Nine decimals of a day are 86 us. */
static void import_reads_the_serial_dates_of_a_spreadsheet(void **state)
{
    struct imported *in = *state;
    struct bp_clock clock;
    struct variant v = {.header = "Time,Ax,Ay,Az\n",
                        .row = "$T,$X,$Y,$Z",
                        .time_unit = 86400.0,
                        .start = 45658.5,
                        .decimals = 9};
    read_variant(in, &v);
    assert_int_equal(in->code, BP_OK);
    assert_true(bp_trace_clock(&in->trace, &in->arena, &clock));
    assert_true(fabs(clock.rate_hz - RATE) < 0.5);
    assert_non_null(strstr(in->trace.recognised.columns, "units: d, m/s2"));
}

static void import_takes_raw_counts_when_told_what_they_count(void **state)
{
    struct imported *in = *state;
    struct variant v = {.header = "time,ax,ay,az,wx,wy,wz\n",
                        .row = "$T,$X,$Y,$Z,$u,$v,$w",
                        .force_unit = G / 4096.0,
                        .turn_unit = DEG / 65.5,
                        .decimals = 3};
    in->settings.units = "a=1/4096g,w=1/65.5dps";
    check_variant(in, &v);
}

int main(void)
{
#define FRESH(test) cmocka_unit_test_setup_teardown(test, support_setup, support_teardown)
    const struct CMUnitTest tests[] = {
        FRESH(import_reads_headings_in_other_tongues),
        FRESH(import_reads_headings_in_more_tongues),
        FRESH(import_reads_times_however_they_are_written),
        FRESH(import_reads_units_however_they_are_written),
        FRESH(import_reads_numbers_and_rows_however_they_are_written),
        FRESH(import_reads_json_in_the_shapes_phones_share),
        FRESH(import_tells_what_it_did_not_read),
        FRESH(import_takes_the_rate_that_the_lines_above_the_rows_tell),
        FRESH(import_takes_no_rate_that_is_not_told),
        FRESH(import_takes_rows_apart_that_say_whose_they_are),
        FRESH(import_takes_labels_for_labels),
        FRESH(import_passes_thousands_of_lines_before_the_header),
        FRESH(import_refuses_with_the_reason_what_it_cannot_tell),
        FRESH(import_reads_the_serial_dates_of_a_spreadsheet),
        FRESH(import_takes_raw_counts_when_told_what_they_count),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
