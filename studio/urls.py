"""Where each feature's pages begin."""

urlpatterns = []
