// Panels never overlap and always fill the screen, at every size from a small laptop to 4K.
#include <gtest/gtest.h>

#include <vector>

#include "trainer/window/app/layout.h"
#include "trainer/window/panel/kit.h"

using namespace wetrun;
using namespace wetrun::ui;

namespace {

void expect_tiled(const Box& screen, const std::vector<Box>& places) {
  float area = 0;
  for (std::size_t i = 0; i < places.size(); ++i) {
    const Box& place = places[i];
    if (place.width() <= 0) continue;
    EXPECT_GT(place.height(), 0);
    EXPECT_TRUE(screen.holds(place, 0.5F)) << i;
    area += place.width() * place.height();
    for (std::size_t j = 0; j < i; ++j)
      if (places[j].width() > 0) {
        EXPECT_FALSE(place.overlaps(places[j])) << i << " and " << j;
      }
  }
  EXPECT_GT(area, 0.985F * screen.width() * screen.height());  // hairlines between them are all that is left
}

}  // namespace

TEST(Layout, PanelsTileTheScreen) {
  for (const auto& [width, height] :
       {std::pair{1280.F, 800.F}, {1366.F, 768.F}, {1920.F, 1080.F}, {2560.F, 1440.F}, {3840.F, 2160.F}}) {
    const Box screen{0, 0, width, height};
    for (const float text : {0.8F, 1.F}) {
      const float scale = scale_for(width, height, text);
      for (const bool closeup : {false, true}) {
        const WorkLayout work = work_layout(screen, scale, closeup);
        expect_tiled(screen, {work.bar, work.drawing, work.chart, work.events, work.closeup, work.sheet});
        EXPECT_EQ(work.closeup.width() > 0, closeup);
        EXPECT_GT(work.drawing.width(), 0.5F * width);
      }
      const ReviewLayout review = review_layout(screen, scale);
      expect_tiled(screen, {review.bar, review.drawing, review.chart, review.panel});
    }
  }
}

TEST(Layout, TinyWindowIsLaidOutAsIfItWereLarger) {
  const WorkLayout work = work_layout({0, 0, 200, 100}, 1, true);
  EXPECT_GT(work.drawing.width(), 0);
  EXPECT_GT(work.drawing.height(), 0);
  EXPECT_GT(work.sheet.height(), 0);
}
