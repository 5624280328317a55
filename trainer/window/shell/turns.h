// Sixty frames a second, evenly: each waits for its turn. A frame that came late takes no time from the next ones.
#pragma once
#include <SFML/System/Clock.hpp>
#include <SFML/System/Sleep.hpp>
#include <algorithm>

namespace wetrun::ui {

class Turns {
public:
  static constexpr unsigned per_s = 60;

  /// Returns when the next frame may begin.
  void wait() {
    const sf::Int64 now = clock_.getElapsedTime().asMicroseconds();
    next_us_ = std::max(next_us_ + 1'000'000 / per_s, now - 1'000'000 / per_s);
    if (next_us_ > now) sf::sleep(sf::microseconds(next_us_ - now));
  }

private:
  sf::Clock clock_;
  sf::Int64 next_us_ = 0;
};

}  // namespace wetrun::ui
