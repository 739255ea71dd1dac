"""Those who help and their days: classes, tiles, rota, breaks, what an adult decides for them."""
