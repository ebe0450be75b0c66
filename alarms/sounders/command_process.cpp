#include "sounders/command_process.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstring>
#include <string_view>
#include <thread>
#include <utility>

namespace drumwatch {

namespace {

constexpr std::size_t kLongestLine = 200;
constexpr int kMostReads = 16;  // a program that never stops complaining must not hold us up

/// What posix_spawn(3) is told.
struct Spawning {
    posix_spawn_file_actions_t files;
    posix_spawnattr_t attributes;

    Spawning() {
        ::posix_spawn_file_actions_init(&files);
        ::posix_spawnattr_init(&attributes);
    }
    ~Spawning() {
        ::posix_spawn_file_actions_destroy(&files);
        ::posix_spawnattr_destroy(&attributes);
    }
    Spawning(const Spawning&) = delete;
    Spawning& operator=(const Spawning&) = delete;

    void set_files(int errors) {
        ::posix_spawn_file_actions_adddup2(&files, errors, STDERR_FILENO);
        ::posix_spawn_file_actions_addopen(&files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
        ::posix_spawn_file_actions_addopen(&files, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
        ::posix_spawn_file_actions_addclosefrom_np(&files, STDERR_FILENO + 1);
    }
    void set_group_and_signals() {
        sigset_t none;
        sigset_t all;
        ::sigemptyset(&none);
        ::sigfillset(&all);
        ::posix_spawnattr_setpgroup(&attributes, 0);
        ::posix_spawnattr_setsigmask(&attributes, &none);
        ::posix_spawnattr_setsigdefault(&attributes, &all);
        ::posix_spawnattr_setflags(&attributes,
                                   POSIX_SPAWN_SETPGROUP | POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF);
    }
};

/// A child that spoke to the service manager would speak as the daemon.
bool for_the_daemon_alone(std::string_view entry) {
    return entry.starts_with("NOTIFY_SOCKET=") || entry.starts_with("WATCHDOG_") ||
           entry.starts_with("LISTEN_");
}

std::vector<char*> environment_of_a_command() {
    std::vector<char*> entries;
    for (char** entry = ::environ; *entry != nullptr; ++entry)
        if (!for_the_daemon_alone(*entry)) entries.push_back(*entry);
    entries.push_back(nullptr);
    return entries;
}

std::vector<char*> pointers(const std::vector<std::string>& command) {
    std::vector<char*> arguments;
    for (const std::string& argument : command) arguments.push_back(const_cast<char*>(argument.c_str()));
    arguments.push_back(nullptr);
    return arguments;
}

Error not_started(const std::string& program, int error) {
    switch (error) {
        case ENOENT:
            return {fmt::format("cannot run {}: the interpreter in its first line is not there", program)};
        case ENOEXEC:
            return {
                fmt::format("cannot run {}: it is no program of this box; a script needs a first line with "
                            "its interpreter, such as #!/bin/sh",
                            program)};
        default:
            return {fmt::format("cannot run {}: {}", program, std::strerror(error))};
    }
}

}  // namespace

Result<Done> look_at_command(const std::vector<std::string>& command) {
    if (command.empty() || command[0].empty()) return Error{"a command needs a program to run"};
    const std::string& program = command[0];
    if (program[0] != '/')
        return Error{fmt::format("write the whole path of {}: it must begin with /", program)};
    if (::access(program.c_str(), F_OK) != 0)
        return Error{fmt::format("there is no program {}: install it, or correct its path", program)};
    if (::access(program.c_str(), X_OK) != 0)
        return Error{fmt::format(
            "{} may not be run: give the user that drumwatch runs as the right to execute it", program)};
    return Done{};
}

Result<std::unique_ptr<CommandProcess>> CommandProcess::start(const std::vector<std::string>& command) {
    if (const Result<Done> there = look_at_command(command); !there) return Error{there.error()};
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0) return not_started(command[0], errno);
    Descriptor ours(ends[0]);
    const Descriptor theirs(ends[1]);
    ::fcntl(ours.number(), F_SETFL, O_NONBLOCK);
    Spawning spawning;
    spawning.set_files(theirs.number());
    spawning.set_group_and_signals();
    const std::vector<char*> arguments = pointers(command);
    const std::vector<char*> environment = environment_of_a_command();
    pid_t leader = 0;
    const int error = ::posix_spawn(&leader, command[0].c_str(), &spawning.files, &spawning.attributes,
                                    arguments.data(), environment.data());
    if (error != 0) return not_started(command[0], error);
    return std::unique_ptr<CommandProcess>(new CommandProcess(leader, std::move(ours)));
}

CommandProcess::~CommandProcess() {
    using Clock = std::chrono::steady_clock;
    signal_group(SIGKILL);
    const auto deadline = Clock::now() + std::chrono::seconds(5);
    while (!end() && Clock::now() < deadline) std::this_thread::sleep_for(std::chrono::milliseconds(1));
}

void CommandProcess::signal_group(int signal) {
    if (!end_) ::kill(-leader_, signal);
}

std::optional<CommandProcess::End> CommandProcess::end() {
    if (end_) return end_;
    listen();
    // Looked at, not reaped: until its group has been killed its number must not be given to another.
    siginfo_t info{};
    if (::waitid(P_PID, static_cast<id_t>(leader_), &info, WEXITED | WNOHANG | WNOWAIT) != 0) {
        if (errno == ECHILD) end_ = End{};  // reaped by others: nobody can know more
        return end_;
    }
    if (info.si_pid != leader_) return std::nullopt;
    ::kill(-leader_, SIGKILL);
    listen();
    ::waitpid(leader_, nullptr, 0);
    end_ = End{info.si_code != CLD_EXITED, info.si_status};
    return end_;
}

void CommandProcess::listen() {
    std::array<char, 4096> bytes;
    for (int reads = 0; reads < kMostReads; ++reads) {
        const ssize_t count = ::read(errors_.number(), bytes.data(), bytes.size());
        if (count <= 0) return;
        for (const char byte : std::string_view(bytes.data(), static_cast<std::size_t>(count))) {
            if (byte != '\n') {
                if (line_.size() < kLongestLine) line_ += byte >= ' ' && byte <= '~' ? byte : '?';
            } else if (!line_.empty()) {
                words_ = std::exchange(line_, {});
            }
        }
    }
}

std::string CommandProcess::last_words() {
    listen();
    return line_.empty() ? words_ : line_;
}

}  // namespace drumwatch
