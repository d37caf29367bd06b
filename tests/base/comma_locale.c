/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/comma_locale.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char folder[] = "/tmp/barplumb-locale-XXXXXX";
static const char template_end[] = "XXXXXX";

bool comma_locale_enter(void)
{
    char command[256];
    if (mkdtemp(folder) == NULL) {
        return false;
    }
    snprintf(command, sizeof command, "localedef -c -i de_DE -f UTF-8 %s/comma >/dev/null 2>&1", folder);
    /* localedef -c leaves the locale in spite of warnings but may report them in its status. */
    int status = system(command);
    (void)status;
    setenv("LOCPATH", folder, 1);
    if (setlocale(LC_ALL, "comma") == NULL || strcmp(localeconv()->decimal_point, ",") != 0) {
        comma_locale_leave();
        return false;
    }
    return true;
}

void comma_locale_leave(void)
{
    char command[256];
    setlocale(LC_ALL, "C");
    unsetenv("LOCPATH");
    snprintf(command, sizeof command, "rm -rf %s", folder);
    int status = system(command);
    (void)status;
    memcpy(folder + sizeof folder - sizeof template_end, template_end, sizeof template_end);
}
