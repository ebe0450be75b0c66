// Who may talk to us, judged from the header section alone, before any body is read. Against DNS rebinding
// and against requests that another site's page makes in a tablet's browser (OWASP ASVS 5.0, 3.5.1 to 3.5.3).
// There is no sign-in: whoever reaches the port may look and mark.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "web/http.hpp"

namespace drumwatch {

class Guard {
  public:
    /// `allowed_hosts`: as a browser writes them, with or without port ("roastery.local",
    /// "roastery.local:80").
    Guard(const std::string& bound_host, std::uint16_t port, const std::vector<std::string>& allowed_hosts);

    /// 421 for a Host that isn't ours (RFC 9110, 15.5.20).
    std::optional<Response> check_host(const Request& request) const;
    /// 403 unless Origin is the Host asked and X-Drumwatch: 1 is there; 415 unless the body is JSON.
    std::optional<Response> check_change(const Request& request) const;

  private:
    std::vector<std::string> hosts_;  ///< lower case, with and without our port
};

}  // namespace drumwatch
