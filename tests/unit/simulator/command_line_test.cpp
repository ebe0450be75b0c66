#include <doctest/doctest.h>

#include <chrono>
#include <csignal>

#include "bus_client.hpp"

using namespace drumwatch;
using namespace drumwatch::test;
using namespace std::chrono_literals;

namespace {
Finished sim(std::vector<std::string> options) { return run_program(sim_command(std::move(options)), 30s); }
bool has(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }
}  // namespace

TEST_CASE("Help and version go to standard output with exit code 0") {
    const Finished help = sim({"--help"});
    CHECK(help.status == 0);
    CHECK(help.errors.empty());
    for (const char* words :
         {"Operator:", "Faults:", "Practice:", "--stepped", "32767 = open probe", "Exit codes"}) {
        CAPTURE(words);
        CHECK(has(help.output, words));
    }
    const Finished version = sim({"--version"});
    CHECK(version.status == 0);
    CHECK(version.output.rfind("drumwatch-sim 0", 0) == 0);
}

TEST_CASE("A wrong call is refused with exit code 2 and what would be right") {
    const auto refused = [](std::vector<std::string> options, const std::string& words) {
        const Finished run = sim(std::move(options));
        CAPTURE(run.errors);
        CHECK(run.status == 2);
        CHECK(run.output.empty());
        CHECK(has(run.errors, words));
    };
    refused({"--spede", "2"}, "--spede");
    refused({"--speed", "fast"}, "--speed");
    refused({"--speed", "51"}, "50");
    refused({"--speed", "2", "--stepped", "250"}, "--speed");
    refused({"--stepped", "30"}, "multiple of 25");
    refused({"--port", "70000"}, "65535");
    refused({"--host", "localhost"}, "127.0.0.1");
    refused({"--machine", "kettle"}, "hot-air");
    refused({"--fault", "rain@3"}, "open-bean@300+60");
    refused({"--stepped", "250", "--fault", "dead-bus@3"}, "use --speed");
    refused({"--move-late", "3"}, "3:45");
    refused({"--move-late", "9:45"}, "moves 1 to 5");
    refused({"--skip-move", "0"}, "moves 1 to 5");
    refused({"--by-hand", "--stepped", "250"}, "--speed");
    refused({"--by-hand", "--target", "/nowhere/t.json"}, "/nowhere/t.json");
    refused({"--exit-after-batches"}, "--batches");
    refused({"--serial-link", "/tmp/x"}, "--serial");
}

TEST_CASE("A port in use is said plainly with exit code 1") {
    ChildProcess first(sim_command({}));
    const Finished second = sim({"--port", std::to_string(printed_port(first))});
    CHECK(second.status == 1);
    CHECK(has(second.errors, "cannot listen on 127.0.0.1"));
    CHECK(has(second.errors, "--port 0"));
}

TEST_CASE("Files that cannot be written are said with exit code 1") {
    CHECK(sim({"--export-target", "/nowhere/t.json"}).status == 1);
    const Finished truth = sim({"--truth", "/nowhere/t.jsonl"});
    CHECK(truth.status == 1);
    CHECK(has(truth.errors, "/nowhere/t.jsonl"));
}

TEST_CASE("Stop signals end the simulator cleanly even with a client connected") {
    for (const int number : {SIGINT, SIGTERM, SIGHUP}) {
        ChildProcess running(sim_command({}));
        BusClient bus(printed_port(running));
        REQUIRE(bus.connect());
        CHECK(bus.time_ms() >= 0);
        running.send_signal(number);
        CHECK(running.wait(5s) == 0);
    }
}
