#include "models/verify/verification.h"

namespace wetrun {

void verify_filtration(Verification&) {}

}  // namespace wetrun
