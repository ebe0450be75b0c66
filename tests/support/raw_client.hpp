// A client that knows nothing of our server's library: blocking POSIX sockets on loopback. A deadline of 20 s
// in every wait only stops a hang; then the call returns what it has.
#pragma once

#include <cstdint>
#include <map>
#include <string>

namespace drumwatch {

struct RawResponse {
    int status = 0;                             ///< 0: the line was closed without an answer
    std::map<std::string, std::string> fields;  ///< names in lower case
    std::string head;
    std::string body;
};

class RawClient {
  public:
    /// `from`: any address of 127.0.0.0/8; each is another tablet to the server. `receive_buffer_bytes` 0:
    /// the kernel's choice.
    explicit RawClient(std::uint16_t port, const std::string& from = "127.0.0.1",
                       int receive_buffer_bytes = 0);
    ~RawClient();
    RawClient(RawClient&& other) noexcept;
    RawClient(const RawClient&) = delete;
    RawClient& operator=(const RawClient&) = delete;

    bool connected() const { return socket_ >= 0; }
    bool send(const std::string& text);  ///< false: the line is closed
    /// Reads one response whose length is given. `no_body`: to HEAD.
    RawResponse read_response(bool no_body = false);
    /// Reads until `text` has come; all that came so far, that text included. Empty: it never came.
    std::string read_until(const std::string& text);
    bool is_closed();      ///< waits until the other side closes (true) or the deadline (false)
    bool is_closed_now();  ///< the same without waiting

    /// GET with all that a browser sends along.
    RawResponse get(const std::string& target, const std::string& more_fields = "");
    RawResponse post(const std::string& target, const std::string& body);
    bool send_post(const std::string& target,
                   const std::string& body);  ///< its answer is read later, or never
    std::string host() const;                 ///< "127.0.0.1:PORT"

  private:
    bool receive_more();
    int socket_ = -1;
    std::uint16_t port_;
    std::string received_;
};

}  // namespace drumwatch
