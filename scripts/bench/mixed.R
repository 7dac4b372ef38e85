# value ~ week + (week | athlete) by REML with lme4: seconds of the fit, and its log-likelihood.
suppressMessages(library(lme4))
folder <- commandArgs(trailingOnly = TRUE)[1]
rows <- as.integer(commandArgs(trailingOnly = TRUE)[2])
data <- read.csv(file.path(folder, "mixed.csv"), nrows = rows)
data$athlete <- factor(data$athlete)
took <- system.time(
  found <- lmer(value ~ week + (week | athlete), data, REML = TRUE,
                control = lmerControl(calc.derivs = FALSE))
)
cat(sprintf('{"s": %.6f, "rows": %d, "log_likelihood": %.8f, "version": "lme4 %s"}\n',
            took[["elapsed"]], nrow(data), as.numeric(logLik(found)), packageVersion("lme4")))
