// The loudspeaker: an SFML sound stream around the synthesiser.
//
// The device is opened on a thread of its own, because some sound servers take seconds to say no; until it is there, and
// if it never comes, nothing is heard and the program goes on. No device is one line on standard error.
#pragma once
#include <memory>

#include "trainer/window/view/sound_mix.h"

namespace wetrun::ui {

class Sound {
public:
  Sound();
  ~Sound();
  Sound(const Sound&) = delete;
  Sound& operator=(const Sound&) = delete;
  /// What is to be heard now. Never waits.
  void set(const SoundMix& mix, double volume);

private:
  struct Speaker;
  std::shared_ptr<Speaker> speaker_;
};

}  // namespace wetrun::ui
