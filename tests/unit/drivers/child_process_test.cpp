// The helper that every test with real processes stands on.
#include "support/child_process.hpp"

#include <doctest/doctest.h>

#include <cerrno>
#include <fstream>
#include <stdexcept>
#include <string>
#include <thread>

using namespace std::chrono_literals;
using drumwatch::ChildProcess;
using drumwatch::run_program;

namespace {

/// Gone, or a zombie that whoever adopts orphans here has not reaped yet.
bool ended(pid_t pid, std::chrono::milliseconds within) {
    const auto deadline = std::chrono::steady_clock::now() + within;
    for (;;) {
        std::ifstream file("/proc/" + std::to_string(pid) + "/stat");
        std::string number, name, state;
        if (!(file >> number >> name >> state) || state == "Z" || state == "X") return true;
        if (std::chrono::steady_clock::now() >= deadline) return false;
        std::this_thread::sleep_for(5ms);
    }
}

}  // namespace

TEST_CASE("a child's output, errors and status come back") {
    const auto done = run_program({"sh", "-c", "cat; echo oops >&2; exit 3"}, 10s, "one\ntwo");
    CHECK(done.output == "one\ntwo");
    CHECK(done.errors == "oops\n");
    CHECK(done.status == 3);
}

TEST_CASE("a child is read line by line with a deadline") {
    ChildProcess child({"sh", "-c", "echo first; echo key: $WORD; read reply; echo got $reply"},
                       {"WORD=malt"});
    CHECK(child.expect_line("key: ", 10s) == "malt");
    CHECK(child.read_line(20ms) == std::nullopt);  // it waits for us
    CHECK(child.running());
    child.write("barley\n");
    CHECK(child.read_line(10s) == "got barley");
    CHECK(child.read_line(10s) == std::nullopt);
    CHECK(child.wait(10s) == 0);
    CHECK_THROWS_AS(child.expect_line("more", 10ms), std::runtime_error);
}

TEST_CASE("a child and what it started are gone after the destructor") {
    pid_t leader = 0;
    pid_t inner = 0;
    {
        ChildProcess child({"sh", "-c", "trap '' TERM; sleep 600 & echo $!; wait; wait; sleep 600"});
        leader = child.pid();
        inner = static_cast<pid_t>(std::stoi(child.read_line(10s).value()));
        CHECK(child.terminate(50ms) == 128 + SIGKILL);
    }
    CHECK(::kill(leader, 0) == -1);
    CHECK(errno == ESRCH);
    CHECK(ended(inner, 10s));
}

TEST_CASE("a program that does not exist is said at once") {
    CHECK_THROWS_WITH_AS(ChildProcess({"/nowhere/at/all"}),
                         "cannot start /nowhere/at/all: No such file or directory", std::runtime_error);
}
