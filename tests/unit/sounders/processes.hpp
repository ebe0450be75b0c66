// Scripts to run, and what is left of processes.
#pragma once

#include <sys/stat.h>
#include <sys/wait.h>

#include <cerrno>
#include <fstream>
#include <sstream>
#include <string>

#include "support/temp_dir.hpp"

namespace drumwatch {

inline std::string script(const TempDir& folder, const std::string& lines) {
    const std::string path = folder.file("play");
    std::ofstream(path) << "#!/bin/sh\n" << lines;
    ::chmod(path.c_str(), 0755);
    return path;
}

inline std::string contents(const std::string& path) {
    std::ifstream file(path);
    std::stringstream all;
    all << file.rdbuf();
    return all.str();
}

/// Neither gone nor a zombie that only waits for whoever it was left to.
inline bool alive(pid_t process) {
    const std::string stat = contents("/proc/" + std::to_string(process) + "/stat");
    const std::size_t name_end = stat.rfind(')');
    return name_end != std::string::npos && stat[name_end + 2] != 'Z';
}

/// Not even a zombie.
inline bool no_children() {
    siginfo_t info{};
    return ::waitid(P_ALL, 0, &info, WEXITED | WNOHANG | WNOWAIT) == -1 && errno == ECHILD;
}

}  // namespace drumwatch
