#include "support/child_process.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <stdexcept>
#include <thread>
#include <utility>

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;

[[noreturn]] void fail(const std::string& what) {
    throw std::runtime_error(what + ": " + std::strerror(errno));
}

struct Pipe {
    int read = -1;
    int write = -1;
};

Pipe make_pipe() {
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0) fail("pipe");
    return {ends[0], ends[1]};
}

/// The environment of this process with `changes` on top, as execvpe wants it.
std::vector<std::string> merged_environment(const std::vector<std::string>& changes) {
    std::vector<std::string> merged = changes;
    for (char** entry = environ; *entry != nullptr; ++entry) {
        const std::string_view old(*entry);
        const std::string_view key = old.substr(0, old.find('=') + 1);
        bool replaced = false;
        for (const std::string& change : changes) replaced = replaced || change.starts_with(key);
        if (!replaced) merged.emplace_back(old);
    }
    return merged;
}

std::vector<char*> pointers(std::vector<std::string>& strings) {
    std::vector<char*> result;
    for (std::string& s : strings) result.push_back(s.data());
    result.push_back(nullptr);
    return result;
}

/// Between fork and exec: only calls that are safe there.
[[noreturn]] void become_child(const Pipe& input, const Pipe& output, int errors, const Pipe& failure,
                               char* const* arguments, char* const* environment) {
    ::setpgid(0, 0);
    ::prctl(PR_SET_PDEATHSIG, SIGKILL);
    ::dup2(input.read, STDIN_FILENO);
    ::dup2(output.write, STDOUT_FILENO);
    ::dup2(errors, STDERR_FILENO);
    ::signal(SIGPIPE, SIG_DFL);
    ::execvpe(arguments[0], arguments, environment);
    const int code = errno;
    [[maybe_unused]] const ssize_t told = ::write(failure.write, &code, sizeof code);
    ::_exit(127);
}

}  // namespace

ChildProcess::ChildProcess(std::vector<std::string> arguments, std::vector<std::string> environment) {
    ::signal(SIGPIPE, SIG_IGN);  // a child that has gone must not end the test program
    const std::string name = arguments.at(0);
    const Pipe input = make_pipe();
    const Pipe output = make_pipe();
    const Pipe failure = make_pipe();
    errors_ = ::memfd_create("child-stderr", MFD_CLOEXEC);
    if (errors_ < 0 || ::fcntl(errors_, F_SETFL, O_APPEND) != 0) fail("stderr of " + name);
    ::fcntl(output.write, F_SETPIPE_SZ, 1 << 20);
    std::vector<std::string> merged = merged_environment(environment);
    const std::vector<char*> argument_pointers = pointers(arguments);
    const std::vector<char*> environment_pointers = pointers(merged);
    pid_ = ::fork();
    if (pid_ < 0) fail("fork");
    if (pid_ == 0)
        become_child(input, output, errors_, failure, argument_pointers.data(), environment_pointers.data());
    ::setpgid(pid_, pid_);  // whichever of the two comes first
    ::close(input.read);
    ::close(output.write);
    ::close(failure.write);
    input_ = input.write;
    output_ = output.read;
    int code = 0;
    const bool failed = ::read(failure.read, &code, sizeof code) == sizeof code;
    ::close(failure.read);
    if (!failed) return;
    ::waitpid(pid_, nullptr, 0);
    for (const int end : {input_, output_, errors_}) ::close(end);
    throw std::runtime_error("cannot start " + name + ": " + std::strerror(code));
}

ChildProcess::~ChildProcess() {
    terminate();
    close_input();
    ::close(output_);
    ::close(errors_);
}

bool ChildProcess::fill(Clock::time_point deadline) {
    while (!ended_) {
        const auto left = std::chrono::ceil<std::chrono::milliseconds>(deadline - Clock::now()).count();
        pollfd waiting{output_, POLLIN, 0};
        const int ready = ::poll(&waiting, 1, left > 0 ? static_cast<int>(left) : 0);
        if (ready < 0 && errno == EINTR) continue;
        if (ready <= 0) return false;
        std::array<char, 65536> buffer{};
        const ssize_t count = ::read(output_, buffer.data(), buffer.size());
        if (count < 0 && errno == EINTR) continue;
        if (count > 0) {
            unread_.append(buffer.data(), static_cast<std::size_t>(count));
            return true;
        }
        ended_ = true;
    }
    return false;
}

std::optional<std::string> ChildProcess::read_line(std::chrono::milliseconds within) {
    const auto deadline = Clock::now() + within;
    std::size_t end = unread_.find('\n');
    while (end == std::string::npos && fill(deadline)) end = unread_.find('\n');
    if (end == std::string::npos) {
        if (!ended_ || unread_.empty()) return std::nullopt;
        return std::exchange(unread_, {});  // a last line without an end
    }
    std::string line = unread_.substr(0, end);
    unread_.erase(0, end + 1);
    if (line.ends_with('\r')) line.pop_back();
    return line;
}

std::string ChildProcess::expect_line(std::string_view prefix, std::chrono::milliseconds within) {
    const auto deadline = Clock::now() + within;
    for (;;) {
        const auto left = std::chrono::ceil<std::chrono::milliseconds>(deadline - Clock::now());
        const std::optional<std::string> line = read_line(left);
        if (!line) break;
        if (line->starts_with(prefix)) return line->substr(prefix.size());
    }
    throw std::runtime_error("no line \"" + std::string(prefix) + "...\" came; stderr: " + errors());
}

std::string ChildProcess::read_rest(std::chrono::milliseconds within) {
    const auto deadline = Clock::now() + within;
    while (fill(deadline)) {
    }
    return std::exchange(unread_, {});
}

std::string ChildProcess::errors() const {
    std::string text;
    std::array<char, 4096> buffer{};
    for (;;) {
        const ssize_t count = ::pread(errors_, buffer.data(), buffer.size(), static_cast<off_t>(text.size()));
        if (count <= 0) return text;
        text.append(buffer.data(), static_cast<std::size_t>(count));
    }
}

void ChildProcess::write(std::string_view text) {
    while (!text.empty() && input_ >= 0) {
        const ssize_t count = ::write(input_, text.data(), text.size());
        if (count < 0 && errno == EINTR) continue;
        if (count < 0) return;
        text.remove_prefix(static_cast<std::size_t>(count));
    }
}

void ChildProcess::close_input() {
    if (input_ >= 0) ::close(input_);
    input_ = -1;
}

void ChildProcess::send_signal(int signal) {
    if (!reaped_) ::kill(pid_, signal);
}

std::optional<int> ChildProcess::wait(std::chrono::milliseconds within) {
    const auto deadline = Clock::now() + within;
    while (!status_) {
        // Looked at, not reaped: until kill() has ended the group its number must not be given away.
        siginfo_t info{};
        if (::waitid(P_PID, static_cast<id_t>(pid_), &info, WEXITED | WNOHANG | WNOWAIT) == 0 &&
            info.si_pid == pid_)
            status_ = info.si_code == CLD_EXITED ? info.si_status : 128 + info.si_status;
        if (status_ || Clock::now() >= deadline) break;
        std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    return status_;
}

int ChildProcess::terminate(std::chrono::milliseconds within) {
    if (!reaped_ && running()) {
        ::kill(-pid_, SIGTERM);
        wait(within);
    }
    return kill();
}

int ChildProcess::kill() {
    if (!reaped_) {
        ::kill(-pid_, SIGKILL);  // the whole group: what the child itself started ends with it
        while (!wait(std::chrono::seconds(1))) {
        }
        ::waitpid(pid_, nullptr, 0);
        reaped_ = true;
    }
    return *status_;
}

bool ChildProcess::running() { return !wait(std::chrono::milliseconds(0)); }

Finished run_program(std::vector<std::string> arguments, std::chrono::milliseconds within,
                     std::string_view input) {
    ChildProcess child(std::move(arguments));
    child.write(input);
    child.close_input();
    const auto deadline = Clock::now() + within;
    Finished finished;
    finished.output = child.read_rest(within);
    child.wait(std::chrono::ceil<std::chrono::milliseconds>(deadline - Clock::now()));
    finished.status = child.terminate();
    finished.errors = child.errors();
    return finished;
}

}  // namespace drumwatch
