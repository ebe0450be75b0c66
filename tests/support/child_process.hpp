// A program under test as a real child process: pipes, lines with a deadline, and never left behind.
//
// stdin and stdout are pipes; stderr goes to memory (errors()), so that a chatty child never blocks on it.
// The child leads a process group of its own, so that a shell script's children end with it, and it dies with
// the thread that started it (start it from the test's own thread). Every failure to start throws
// std::runtime_error, which fails the test case.
//
//   ChildProcess sim({"/path/to/program", "--port", "0"});
//   const std::string line = sim.expect_line("modbus: ", 10s);
//   ... the destructor asks it to end, kills it after two seconds, and reaps it.
#pragma once

#include <sys/types.h>

#include <chrono>
#include <csignal>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace drumwatch {

class ChildProcess {
  public:
    /// `arguments[0]` is the program (looked up in PATH when it has no slash); `environment` holds
    /// NAME=VALUE to add or replace.
    explicit ChildProcess(std::vector<std::string> arguments, std::vector<std::string> environment = {});
    ~ChildProcess();
    ChildProcess(const ChildProcess&) = delete;
    ChildProcess& operator=(const ChildProcess&) = delete;

    /// The next line of stdout without its end; nothing at the end of output or when the time is up.
    std::optional<std::string> read_line(std::chrono::milliseconds within);
    /// Reads on until a line begins with `prefix`; gives what follows the prefix. Throws, with what the child
    /// said on stderr, when none comes.
    std::string expect_line(std::string_view prefix, std::chrono::milliseconds within);
    /// All of stdout that has not been read yet, up to its end (or the time's).
    std::string read_rest(std::chrono::milliseconds within);
    /// What the child has said on stderr until now.
    std::string errors() const;

    void write(std::string_view text);  ///< to its stdin; a child that reads no more is no error here
    void close_input();
    void send_signal(int signal);
    /// Its exit status once it has ended (128 + signal when a signal ended it); nothing when the time is up.
    std::optional<int> wait(std::chrono::milliseconds within);
    /// SIGTERM, then SIGKILL when the time is up; always reaps. Gives what wait() gives.
    int terminate(std::chrono::milliseconds within = std::chrono::seconds(2));
    int kill();  ///< SIGKILL, reaped
    bool running();
    pid_t pid() const { return pid_; }

  private:
    bool fill(std::chrono::steady_clock::time_point deadline);

    pid_t pid_ = -1;
    int input_ = -1;
    int output_ = -1;
    int errors_ = -1;
    std::string unread_;
    bool ended_ = false;  ///< stdout has come to its end
    bool reaped_ = false;
    std::optional<int> status_;
};

/// Runs a program to its end.
struct Finished {
    int status = -1;
    std::string output;
    std::string errors;
};
Finished run_program(std::vector<std::string> arguments, std::chrono::milliseconds within,
                     std::string_view input = {});

}  // namespace drumwatch
