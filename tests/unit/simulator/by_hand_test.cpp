// Practice by hand: keys through a pipe, and on a real terminal.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <chrono>
#include <csignal>

#include "bus_client.hpp"

using namespace drumwatch;
using namespace drumwatch::test;
using namespace std::chrono_literals;

namespace {

bool has(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }

/// The simulator with a terminal of its own as its standard input and output.
class OnTerminal {
  public:
    OnTerminal() {
        const auto words = sim_command({"--by-hand", "--speed", "10"});
        pid_ = forkpty(&terminal_, nullptr, nullptr, nullptr);
        REQUIRE(pid_ >= 0);
        if (pid_ == 0) {
            execl(words[0].c_str(), words[0].c_str(), words[1].c_str(), words[2].c_str(), words[3].c_str(),
                  nullptr);
            _exit(127);
        }
        // Our own hold on the terminal, so that its settings can still be read when the program has ended.
        slave_ = open(ptsname(terminal_), O_RDWR | O_NOCTTY | O_CLOEXEC);
        REQUIRE(slave_ >= 0);
    }
    ~OnTerminal() {
        if (pid_ > 0) {
            kill(pid_, SIGKILL);
            waitpid(pid_, nullptr, 0);
        }
        close(slave_);
        close(terminal_);
    }
    bool shows(const std::string& words) {
        pollfd ready{terminal_, POLLIN, 0};
        while (!has(seen_, words) && poll(&ready, 1, 10000) > 0) {
            char buffer[512];
            const auto count = read(terminal_, buffer, sizeof buffer);
            if (count <= 0) break;
            seen_.append(buffer, static_cast<std::size_t>(count));
        }
        return has(seen_, words);
    }
    void type(char key) { CHECK(write(terminal_, &key, 1) == 1); }
    void signal(int number) { kill(pid_, number); }
    bool line_mode() const {
        termios now{};
        REQUIRE(tcgetattr(slave_, &now) == 0);
        return (now.c_lflag & ICANON) != 0 && (now.c_lflag & ECHO) != 0;
    }
    int exit_code() {
        // What it still prints must be read, or it waits for that.
        while (!has(seen_, "\x04")) {
            pollfd ready{terminal_, POLLIN, 0};
            if (poll(&ready, 1, 20) > 0) {
                char buffer[512];
                if (read(terminal_, buffer, sizeof buffer) <= 0) break;
            }
            int status = 0;
            if (waitpid(pid_, &status, WNOHANG) == pid_) {
                pid_ = -1;
                return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
            }
        }
        return -1;
    }

  private:
    int terminal_ = -1;
    int slave_ = -1;
    pid_t pid_ = -1;
    std::string seen_;
};

}  // namespace

TEST_CASE("By hand through a pipe: charge, a move, drop, review, quit") {
    ChildProcess sim(sim_command({"--by-hand", "--speed", "50"}));
    BusClient bus(printed_port(sim));
    const std::string words = sim.expect_line("Practice on a model, not on a real machine.", 10s);
    sim.expect_line("The drum stands at the charge temperature", 30s);
    REQUIRE(bus.connect());
    sim.write("c");
    sim.expect_line("Charged.", 10s);
    CHECK(bus.status() == 2);
    CHECK(bus.holding(0, 2)[0] == 650);
    sim.write("uui");
    while (bus.holding(0, 2)[0] != 750) REQUIRE(bus.result == 2);
    while (bus.holding(0, 2)[1] != 650) REQUIRE(bus.result == 2);
    while (bus.inputs(0, 1)[0] > 1700 || bus.inputs(0, 1)[0] < 1500) REQUIRE(bus.result == 1);
    sim.write("d");
    sim.expect_line("Dropped.", 10s);
    sim.expect_line("How the roast was kept", 10s);
    sim.expect_line("  burner to 75 %, planned at 1:10", 10s);
    sim.expect_line("What to practise", 10s);
    sim.write("q");
    sim.expect_line("Good-bye.", 10s);
    CHECK(sim.wait(5s) == 0);
}

TEST_CASE("By hand the end of the keys is the end of practice") {
    ChildProcess sim(sim_command({"--by-hand", "--speed", "50"}));
    printed_port(sim);
    sim.write("c");
    sim.expect_line("Charged.", 10s);
    sim.close_input();
    sim.expect_line("Broken off with a batch in the drum", 10s);
    CHECK(sim.wait(5s) == 0);
}

TEST_CASE("By hand the terminal is raw while it runs and itself again after quit and after a signal") {
    for (const int number : {0, SIGTERM, SIGINT, SIGHUP}) {
        CAPTURE(number);
        OnTerminal sim;
        REQUIRE(sim.shows("preheating"));
        CHECK_FALSE(sim.line_mode());
        if (number == 0) {
            sim.type('q');
        } else {
            sim.signal(number);
        }
        CHECK(sim.exit_code() == 0);
        CHECK(sim.line_mode());
    }
}
