# Smooth L, M and S in age with VGAM: seconds of the fit, and medians.
suppressMessages(library(VGAM))
folder <- commandArgs(trailingOnly = TRUE)[1]
rows <- as.integer(commandArgs(trailingOnly = TRUE)[2])
data <- read.csv(file.path(folder, "lms.csv"), nrows = rows)
took <- system.time(
  found <- vgam(value ~ s(age, df = c(2, 4, 2)), lms.bcn(zero = NULL), data)
)
at <- predict(found, data.frame(age = c(10, 13, 16)))
cat(sprintf('{"s": %.6f, "rows": %d, "medians": [%.4f, %.4f, %.4f], "version": "VGAM %s"}\n',
            took[["elapsed"]], nrow(data), at[1, 2], at[2, 2], at[3, 2], packageVersion("VGAM")))
