#include "rigs.h"
int main(void)
{
    return 0;
}
