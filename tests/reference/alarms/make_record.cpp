// Makes the record of support/alarm_record.hpp, for whoever wants to look at it or store the reports anew by
// hand: make_alarm_record PATH
#include <cstdio>
#include <exception>

#include "support/alarm_record.hpp"

int main(int argc, char** argv) {
    if (argc != 2) return 2;
    try {
        drumwatch::make_alarm_record(argv[1]);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "%s\n", error.what());
        return 1;
    }
    return 0;
}
