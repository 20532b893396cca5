/** Every page: nothing yet but to notice that the server is gone. */
import { sayGone } from "../page/live";

addEventListener("online", () => sayGone(false));
