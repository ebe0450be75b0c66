// Holds one thread of a child, as ptrace(2) does: the others go on. Made and ended by the thread that started
// the child.
#pragma once

#include <doctest/doctest.h>
#include <sys/ptrace.h>
#include <sys/syscall.h>
#include <sys/wait.h>

#include <fstream>
#include <string>

namespace drumwatch {

class HeldThread {
  public:
    explicit HeldThread(pid_t thread) : thread_(thread) {
        REQUIRE(::ptrace(PTRACE_SEIZE, thread_, nullptr, nullptr) == 0);
        hold();
    }
    ~HeldThread() { ::ptrace(PTRACE_DETACH, thread_, nullptr, nullptr); }
    HeldThread(const HeldThread&) = delete;
    HeldThread& operator=(const HeldThread&) = delete;

    /// Lets go and holds again until it stands in a wait for events, where it holds no lock.
    void hold_while_it_waits() {
        while (!waits_for_events()) {
            REQUIRE(::ptrace(PTRACE_CONT, thread_, nullptr, nullptr) == 0);
            hold();
        }
    }

  private:
    void hold() {
        REQUIRE(::ptrace(PTRACE_INTERRUPT, thread_, nullptr, nullptr) == 0);
        REQUIRE(::waitpid(thread_, nullptr, __WALL) == thread_);
    }
    bool waits_for_events() const {
        std::ifstream file("/proc/" + std::to_string(thread_) + "/syscall");
        long number = -1;
        file >> number;
#ifdef SYS_epoll_wait
        if (number == SYS_epoll_wait) return true;
#endif
        return number == SYS_epoll_pwait;
    }

    pid_t thread_;
};

}  // namespace drumwatch
